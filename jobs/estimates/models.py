"""Estimates: what a customer was offered for a car, in versions, and the yes to one."""

from __future__ import annotations

from decimal import Decimal
from typing import ClassVar

from django.db import models

from jobs.bookings.models import Booking, Coverage, choices_of
from jobs.coverage.catalogue import Body, Package
from jobs.customers.models import Customer, Vehicle
from jobs.workorders.models import AddedWork, WorkOrder
from mixing.models import Immutable
from shopapp.models import HistoryEntry, Person, StoredFile


class EstimateRule(models.Model):
    """How the shop makes estimates. One row; without it, what stands here.

    bring  what a customer brings and prepares; empty: what is usual
    """

    valid_days = models.PositiveSmallIntegerField(
        "days for which an estimate holds", default=30
    )
    bring = models.TextField(
        "what to bring and prepare, a line each", max_length=1000, blank=True
    )

    def __str__(self) -> str:
        return f"{self.valid_days} days"


class CustomerEstimate(models.Model):
    """One to three packages for a customer's car; its newest version stands.

    booking   what was booked from it
    ended_at  when it was put away: the customer does not want it
    """

    lock_rank: ClassVar[int] = 4

    number = models.CharField(max_length=16, unique=True)
    customer = models.ForeignKey(
        Customer, on_delete=models.PROTECT, related_name="estimates"
    )
    vehicle = models.ForeignKey(
        Vehicle, on_delete=models.PROTECT, related_name="estimates"
    )
    booking = models.OneToOneField(
        Booking, on_delete=models.PROTECT, null=True, related_name="estimate"
    )
    made_by = models.ForeignKey(
        Person, on_delete=models.PROTECT, null=True, related_name="+"
    )
    made_at = models.DateTimeField()
    ended_at = models.DateTimeField(null=True)
    ended_because = models.CharField(max_length=160, blank=True)

    class Meta:
        ordering = ["-pk"]
        indexes = [
            models.Index(fields=["ended_at", "booking"], name="estimate_is_open")
        ]

    def __str__(self) -> str:
        return self.number


class EstimateVersion(models.Model):
    """An estimate as it was at one time. Only that it was sent is written later.

    car, body  the car as it was known then
    """

    class Sent(models.TextChoices):
        LINK = "link", "by link"
        PAPER = "paper", "on paper"
        MAIL = "mail", "by e-mail"

    estimate = models.ForeignKey(
        CustomerEstimate, on_delete=models.PROTECT, related_name="versions"
    )
    number = models.PositiveIntegerField()
    valid_until = models.DateField()
    words = models.TextField(max_length=1000, blank=True)
    car = models.CharField(max_length=160)
    body = models.CharField(max_length=12, choices=choices_of(Body))
    tax_name = models.CharField(max_length=30)
    tax_pct = models.DecimalField(max_digits=6, decimal_places=3)
    is_tax_on_top = models.BooleanField()
    currency = models.CharField(max_length=3)
    made_by = models.ForeignKey(
        Person, on_delete=models.PROTECT, null=True, related_name="+"
    )
    made_at = models.DateTimeField()
    sent_at = models.DateTimeField(null=True)
    sent_how = models.CharField(max_length=8, choices=Sent.choices, blank=True)

    class Meta:
        ordering = ["estimate", "number"]
        constraints = [
            models.UniqueConstraint(
                fields=["estimate", "number"], name="estimate_version_once"
            )
        ]

    def __str__(self) -> str:
        return f"{self.estimate.number} version {self.number}"


class EstimateChoice(Immutable):
    """One package of a version: what is covered, in which film, for how much.

    price    what is paid, tax and all
    minutes  work of the film and beside it
    """

    version = models.ForeignKey(
        EstimateVersion, on_delete=models.PROTECT, related_name="choices"
    )
    place = models.PositiveSmallIntegerField()
    package = models.CharField(max_length=16, choices=choices_of(Package))
    film = models.ForeignKey("jobs.Film", on_delete=models.PROTECT)
    price = models.DecimalField(max_digits=10, decimal_places=2)
    minutes = models.PositiveIntegerField()

    class Meta:
        ordering = ["place"]
        constraints = [
            models.UniqueConstraint(
                fields=["version", "place"], name="estimate_choice_once"
            )
        ]

    def __str__(self) -> str:
        return f"{self.get_package_display()}, {self.film}"


class EstimateLine(Immutable):
    """One line of a package's price."""

    choice = models.ForeignKey(
        EstimateChoice, on_delete=models.PROTECT, related_name="lines"
    )
    kind = models.CharField(max_length=10)
    name = models.CharField(max_length=200)
    amount = models.DecimalField(max_digits=10, decimal_places=2)

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return self.name


class EstimatePanel(Coverage):
    """A panel of a package."""

    offered = models.ForeignKey(
        EstimateChoice, on_delete=models.PROTECT, related_name="panels"
    )

    class Meta:
        ordering = ["pk"]


class EstimateWork(Immutable):
    """Other work of a package, as the menu had it."""

    choice = models.ForeignKey(
        EstimateChoice, on_delete=models.PROTECT, related_name="works"
    )
    name = models.CharField(max_length=80)
    minutes = models.PositiveSmallIntegerField()
    when = models.CharField(max_length=14, choices=AddedWork.When.choices)
    skill = models.CharField(max_length=8, choices=AddedWork.Skill.choices)
    price = models.DecimalField(max_digits=10, decimal_places=2, default=Decimal(0))

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return self.name


class EstimateAcceptance(Immutable):
    """The customer's yes to one package of a version: once, and for ever.

    address  from where it came over the net; None at the desk
    """

    version = models.OneToOneField(
        EstimateVersion, on_delete=models.PROTECT, related_name="acceptance"
    )
    choice = models.ForeignKey(
        EstimateChoice, on_delete=models.PROTECT, related_name="+"
    )
    how = models.CharField(max_length=10, choices=WorkOrder.Agreed.choices)
    name = models.CharField(max_length=80)
    address = models.GenericIPAddressField(null=True)
    signature = models.ForeignKey(
        StoredFile, on_delete=models.PROTECT, null=True, related_name="+"
    )
    by = models.ForeignKey(
        Person, on_delete=models.PROTECT, null=True, related_name="+"
    )
    at = models.DateTimeField()

    def __str__(self) -> str:
        return self.name


class EstimateEvent(Immutable, HistoryEntry):
    """One change of an estimate. Append-only."""

    estimate = models.ForeignKey(
        CustomerEstimate, on_delete=models.PROTECT, related_name="events"
    )
