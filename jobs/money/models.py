"""Money: what came in, and what went back."""

from __future__ import annotations

from decimal import Decimal

from django.db import models
from django.db.models import Q

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

    def __str__(self) -> str:
        return self.name

    @property
    def rate(self) -> str:
        """The rate without idle zeros: "8.25"."""
        return f"{self.pct.normalize():f}"


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


PAID_BY = [how for how in Payment.How.choices if how[0] != Payment.How.DEPOSIT]
"""How money comes in today; "deposit at booking" stands on older rows."""
