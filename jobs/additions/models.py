"""Work offered on top of what was booked, and the menu of other work."""

from __future__ import annotations

from decimal import Decimal

from django.db import models

from jobs.bookings.models import Coverage
from jobs.workorders.models import AddedWork, WorkOrder
from shopapp.models import Person


class MenuWork(models.Model):
    """Other work that the shop offers beside film: the manager's list."""

    name = models.CharField(max_length=80, unique=True)
    minutes = models.PositiveSmallIntegerField()
    when = models.CharField(max_length=14, choices=AddedWork.When.choices)
    skill = models.CharField(max_length=8, choices=AddedWork.Skill.choices)
    price = models.DecimalField(max_digits=10, decimal_places=2, null=True, blank=True)
    is_offered = models.BooleanField(default=True)

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return self.name


class Addition(Coverage):
    """Something more for a car that is in, and what the customer said to it.

    price  as the list has it; `asked` is what the customer pays, tax and all
    """

    class What(models.TextChoices):
        PANEL = "panel", "panel"
        EDGE = "edge", "edge"
        WORK = "work", "other work"

    class State(models.TextChoices):
        OFFERED = "offered", "offered"
        AGREED = "agreed", "agreed"
        DECLINED = "declined", "declined"
        TAKEN_BACK = "taken_back", "taken back"

    workorder = models.ForeignKey(
        WorkOrder, on_delete=models.PROTECT, related_name="additions"
    )
    what = models.CharField(max_length=8, choices=What.choices)
    work_name = models.CharField(max_length=80, blank=True)
    when = models.CharField(max_length=14, choices=AddedWork.When.choices, blank=True)
    skill = models.CharField(max_length=8, choices=AddedWork.Skill.choices, blank=True)
    minutes = models.PositiveSmallIntegerField(default=0)
    film_mm = models.PositiveIntegerField(default=0)
    price = models.DecimalField(max_digits=10, decimal_places=2, default=Decimal(0))
    asked = models.DecimalField(max_digits=10, decimal_places=2, default=Decimal(0))
    state = models.CharField(
        max_length=10, choices=State.choices, default=State.OFFERED
    )
    offered_by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")
    offered_at = models.DateTimeField()
    answered_at = models.DateTimeField(null=True, blank=True)
    answered_how = models.CharField(
        max_length=10, choices=WorkOrder.Agreed.choices, blank=True
    )
    answered_name = models.CharField(max_length=80, blank=True)
    answered_by = models.ForeignKey(
        Person, on_delete=models.PROTECT, null=True, related_name="+"
    )

    class Meta:
        ordering = ["pk"]
        indexes = [models.Index(fields=["state"], name="addition_state")]
