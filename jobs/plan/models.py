"""The bay plan: what is proposed, what is in force, what was fixed, what is ready."""

from __future__ import annotations

from django.db import models
from django.db.models import Q
from django.utils import timezone

from jobs.bookings.models import Booking
from shopapp.models import Person


class PlanRule(models.Model):
    """How the shop plans. One row, made when it is first changed."""

    freeze_h = models.PositiveSmallIntegerField(
        "what begins within so many opening hours stays as it is",
        default=4,
    )
    cutters = models.PositiveSmallIntegerField(
        "film cutters; 0: pre-cut film is not cut here", default=1
    )
    cut_min = models.PositiveSmallIntegerField(
        "cutting the film of one car, minutes", default=60
    )

    def __str__(self) -> str:
        return "plan rule"


class CarWish(models.Model):
    """What a person fixed for one car; its bay stands on the booking."""

    class Half(models.TextChoices):
        ANY = "", "any time"
        MORNING = "morning", "morning"
        AFTERNOON = "afternoon", "afternoon"

    class Weight(models.IntegerChoices):
        USUAL = 1, "as usual"
        FIRST = 4, "before others"

    booking = models.OneToOneField(
        Booking, on_delete=models.PROTECT, related_name="wish"
    )
    day = models.DateField(
        null=True, blank=True, help_text="Film work begins on this day."
    )
    half = models.CharField(
        max_length=10, choices=Half.choices, blank=True, default=Half.ANY
    )
    people = models.ManyToManyField(Person, blank=True, related_name="+")
    weight = models.PositiveSmallIntegerField(
        choices=Weight.choices, default=Weight.USUAL
    )

    def __str__(self) -> str:
        return f"wish for {self.booking}"


class BayPlan(models.Model):
    """A plan of all cars: proposed, then published or dropped; and as it stands now."""

    lock_rank = 57

    class State(models.TextChoices):
        STANDING = "standing", "as it stands"
        """The published one carried on by a task to what has happened since."""
        PROPOSED = "proposed", "proposed"
        PUBLISHED = "published", "published"
        REPLACED = "replaced", "replaced by a newer one"
        DROPPED = "dropped", "dropped"

    state = models.CharField(
        max_length=10, choices=State.choices, default=State.PROPOSED
    )
    problem_hash = models.CharField(max_length=64)
    facts = models.JSONField(help_text="`jobs.plan.stored`.")
    made_by = models.ForeignKey(
        Person, on_delete=models.PROTECT, null=True, related_name="+"
    )
    made_at = models.DateTimeField(default=timezone.now)
    revision = models.BigIntegerField(
        null=True, blank=True, help_text="Of the shop, when its facts were read."
    )
    settled_by = models.ForeignKey(
        Person, on_delete=models.PROTECT, null=True, related_name="+"
    )
    settled_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["state"],
                condition=Q(state__in=["standing", "proposed", "published"]),
                name="bay_plan_one_alive",
            )
        ]

    def __str__(self) -> str:
        return f"bay plan {self.pk}"


class Forecast(models.Model):
    """When a car is ready by the plan, as it stood at a moment, and why late."""

    class Standing(models.TextChoices):
        FITS = "fits", "in time"
        TIGHT = "tight", "tight"
        LATE = "late", "late"

    booking = models.OneToOneField(
        Booking, on_delete=models.PROTECT, related_name="forecast"
    )
    ready_at = models.DateTimeField()
    as_of = models.DateTimeField()
    standing = models.CharField(max_length=5, choices=Standing.choices)
    why = models.JSONField(default=list, help_text="Sentences, as `say_to_json`.")
    plan = models.ForeignKey(
        BayPlan, on_delete=models.PROTECT, null=True, related_name="+"
    )

    class Meta:
        indexes = [models.Index(fields=["standing"], name="forecast_standing")]

    def __str__(self) -> str:
        return f"forecast for {self.booking}"
