"""A car that comes back: what for, on whose account, and what was done."""

from __future__ import annotations

from django.db import models

from jobs.bookings.models import Booking
from jobs.condition.models import Defect
from jobs.workorders.models import WorkOrder
from shopapp.models import Person


class ReturnVisit(models.Model):
    """A booking on which a car comes back to be put right.

    of       the order whose film it is about; its return orders point there too
    defects  what it comes back for, each on the panel whose film it is in
    asked    what the customer pays for it, tax and all; None while that is open
    """

    class Payer(models.TextChoices):
        SHOP = "shop", "the shop"
        MAKER = "maker", "the film's maker"
        CUSTOMER = "customer", "the customer"

    of = models.ForeignKey(
        WorkOrder, on_delete=models.PROTECT, related_name="return_visits"
    )
    booking = models.OneToOneField(
        Booking, on_delete=models.PROTECT, related_name="return_visit"
    )
    defects = models.ManyToManyField(Defect, related_name="return_visits")
    paid_by = models.CharField(max_length=8, choices=Payer.choices, blank=True)
    asked = models.DecimalField(max_digits=10, decimal_places=2, null=True, blank=True)
    begun_by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")
    begun_at = models.DateTimeField()

    class Meta:
        ordering = ["pk"]
        indexes = [
            models.Index(
                fields=["begun_at"],
                condition=models.Q(paid_by=""),
                name="return_payer_open",
            )
        ]

    def __str__(self) -> str:
        return f"return visit {self.pk}"

    @property
    def order(self) -> WorkOrder | None:
        """Its own order; None while the car is only booked."""
        found: WorkOrder | None = getattr(self.booking, "workorder", None)
        return found
