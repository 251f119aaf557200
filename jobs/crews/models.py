"""Who is here when: a person's own hours, and the days somebody is away."""

from __future__ import annotations

from django.db import models
from django.db.models import F, Q
from django.utils import timezone

from shopapp.models import Person
from shopapp.open_days import OpenDay


class Shift(models.Model):
    """A weekday on which a person's hours are not the shop's."""

    person = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="shifts")
    weekday = models.PositiveSmallIntegerField(choices=OpenDay.Weekday.choices)
    is_off = models.BooleanField("does not work", default=False)
    starts_at = models.TimeField("from", null=True, blank=True)
    ends_at = models.TimeField("until", null=True, blank=True)

    class Meta:
        ordering = ["person", "weekday"]
        constraints = [
            models.UniqueConstraint(
                fields=["person", "weekday"], name="shift_once_a_weekday"
            ),
            models.CheckConstraint(
                condition=Q(starts_at__isnull=True, ends_at__isnull=True)
                | Q(ends_at__gt=F("starts_at")),
                name="shift_ends_after_it_starts",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.person}, {self.get_weekday_display()}"


class Absence(models.Model):
    """Days on which a person is not here. Taken back, it stays in the list."""

    lock_rank = 58

    class Because(models.TextChoices):
        SICK = "sick", "sick"
        OFF = "off", "day off"

    class Half(models.TextChoices):
        WHOLE = "", "whole days"
        MORNING = "morning", "mornings"
        AFTERNOON = "afternoon", "afternoons"

    person = models.ForeignKey(
        Person, on_delete=models.PROTECT, related_name="absences"
    )
    first_day = models.DateField()
    last_day = models.DateField()
    half = models.CharField(
        max_length=10, choices=Half.choices, blank=True, default=Half.WHOLE
    )
    because = models.CharField(
        max_length=4, choices=Because.choices, default=Because.OFF
    )
    said_by = models.ForeignKey(
        Person, on_delete=models.PROTECT, null=True, related_name="+"
    )
    said_at = models.DateTimeField(default=timezone.now)
    taken_back_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["first_day", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(last_day__gte=F("first_day")),
                name="absence_ends_after_it_begins",
            )
        ]
        indexes = [
            models.Index(
                fields=["last_day"],
                condition=Q(taken_back_at__isnull=True),
                name="absence_in_force",
            )
        ]

    def __str__(self) -> str:
        return f"{self.person} away {self.first_day}"
