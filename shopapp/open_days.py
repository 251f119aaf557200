"""Days on which the shop is open: weekdays, and holidays."""

from __future__ import annotations

from django.db import models
from django.db.models import F, Q


class OpenDay(models.Model):
    """A weekday: open in the usual hours, in hours of its own, or closed."""

    class Weekday(models.IntegerChoices):
        MONDAY = 0, "Monday"
        TUESDAY = 1, "Tuesday"
        WEDNESDAY = 2, "Wednesday"
        THURSDAY = 3, "Thursday"
        FRIDAY = 4, "Friday"
        SATURDAY = 5, "Saturday"
        SUNDAY = 6, "Sunday"

    weekday = models.PositiveSmallIntegerField(choices=Weekday.choices, unique=True)
    is_open = models.BooleanField("open", default=True)
    opens_at = models.TimeField("opens", null=True, blank=True)
    closes_at = models.TimeField("closes", null=True, blank=True)

    class Meta:
        ordering = ["weekday"]
        constraints = [
            models.CheckConstraint(
                condition=Q(opens_at__isnull=True, closes_at__isnull=True)
                | Q(closes_at__gt=F("opens_at")),
                name="open_day_closes_after_it_opens",
            )
        ]

    def __str__(self) -> str:
        return str(self.get_weekday_display())


class Holiday(models.Model):
    """A day on which the shop is closed, until it is taken off the list."""

    day = models.DateField()
    name = models.CharField(max_length=40, blank=True)
    taken_off_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["day"]
        constraints = [
            models.UniqueConstraint(
                fields=["day"],
                condition=Q(taken_off_at__isnull=True),
                name="holiday_once",
            )
        ]

    def __str__(self) -> str:
        return self.name or f"{self.day:%Y-%m-%d}"
