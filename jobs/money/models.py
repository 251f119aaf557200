"""Money: what came in, and what went back."""

from __future__ import annotations

from decimal import Decimal

from django.db import models
from django.db.models import Q
from django.utils.translation import gettext

from jobs.bookings.models import Booking
from jobs.workorders.models import WorkOrder
from mixing.models import Immutable
from shopapp.models import Person


class TaxRule(models.Model):
    """The shop's tax. Its row is made by a migration."""

    name = models.CharField("what it is called", max_length=30, default="Tax")
    pct = models.DecimalField(
        "rate, %",
        max_digits=6,
        decimal_places=3,
        default=Decimal(0),
    )
    is_included = models.BooleanField(
        "prices on the list hold the tax already", default=True
    )
    number = models.CharField("the shop's tax number", max_length=40, blank=True)
    untaxed_pay_net = models.BooleanField(
        "a customer without tax pays the list's price less the tax it holds",
        default=True,
    )
    account_days = models.PositiveSmallIntegerField(
        "days in which an account customer pays", default=30
    )
    foot = models.CharField(
        "what the law asks at the foot of an invoice", max_length=200, blank=True
    )

    def __str__(self) -> str:
        return self.name

    @property
    def rate(self) -> str:
        """The rate without idle zeros: "8.25"."""
        return f"{self.pct.normalize():f}"


class Receipt(Immutable):
    """What came in at one time, or was taken back: its payments, under one number."""

    number = models.CharField(max_length=16, unique=True)
    by = models.ForeignKey(Person, on_delete=models.PROTECT, null=True)
    at = models.DateTimeField()

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return self.number


class Payment(Immutable):
    """Money received for a booking or an order; a reversal is a row below nothing.

    What was paid for a booking goes along to its order.
    """

    class How(models.TextChoices):
        CARD = "card", "card"
        CASH = "cash", "cash"
        TRANSFER = "transfer", "transfer"
        DEPOSIT = "deposit", "deposit at booking"

    workorder = models.ForeignKey(
        WorkOrder, on_delete=models.PROTECT, null=True, related_name="payments"
    )
    booking = models.ForeignKey(
        Booking, on_delete=models.PROTECT, null=True, related_name="payments"
    )
    receipt = models.ForeignKey(
        Receipt, on_delete=models.PROTECT, null=True, related_name="payments"
    )
    amount = models.DecimalField(max_digits=10, decimal_places=2)
    how = models.CharField(max_length=10, choices=How.choices)
    reverses = models.OneToOneField(
        "self", on_delete=models.PROTECT, null=True, related_name="reversed_by"
    )
    because = models.CharField(max_length=160, blank=True)
    by = models.ForeignKey(Person, on_delete=models.PROTECT, null=True)
    at = models.DateTimeField()

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(workorder__isnull=False) | Q(booking__isnull=False),
                name="payment_for_something",
            ),
            models.CheckConstraint(
                condition=Q(amount__gt=0) | Q(reverses__isnull=False, amount__lt=0),
                name="payment_below_nothing_reverses",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.amount} {self.how}"

    @property
    def is_reversed(self) -> bool:
        """Whether it was taken back since."""
        return hasattr(self, "reversed_by")


class Discount(models.Model):
    """A line that lowers an agreed price, with its reason.

    What was given on a booking goes along to its order.
    """

    workorder = models.ForeignKey(
        WorkOrder, on_delete=models.PROTECT, null=True, related_name="discounts"
    )
    booking = models.ForeignKey(
        Booking, on_delete=models.PROTECT, null=True, related_name="discounts"
    )
    amount = models.DecimalField(
        max_digits=10, decimal_places=2, help_text="In the terms of the price list."
    )
    pct = models.DecimalField(max_digits=6, decimal_places=3, null=True)
    lowered = models.DecimalField(
        max_digits=10, decimal_places=2, help_text="By so much the price fell."
    )
    because = models.CharField(max_length=120)
    by = models.ForeignKey(
        Person, on_delete=models.PROTECT, null=True, related_name="+"
    )
    at = models.DateTimeField()
    ended_by = models.ForeignKey(
        Person, on_delete=models.PROTECT, null=True, related_name="+"
    )
    ended_at = models.DateTimeField(null=True)

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(workorder__isnull=False) | Q(booking__isnull=False),
                name="discount_on_something",
            ),
            models.CheckConstraint(
                condition=Q(amount__gt=0), name="discount_takes_something"
            ),
        ]

    def __str__(self) -> str:
        return self.words

    @property
    def words(self) -> str:
        """As its line says it: "Discount 5 %, second car"."""
        rate = f" {self.pct.normalize():f} %" if self.pct is not None else ""
        word = gettext("Discount")
        return f"{word}{rate}, {self.because}"


PAID_BY = [how for how in Payment.How.choices if how[0] != Payment.How.DEPOSIT]
"""How money comes in today; "deposit at booking" stands on older rows."""
