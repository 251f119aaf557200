"""Bookings: which car, which panels, which film, when."""

from __future__ import annotations

from decimal import Decimal
from enum import StrEnum

from django.db import models
from django.db.models import F, Q
from django.utils import timezone

from jobs.coverage.catalogue import Badge, Edge, Method, Package, PanelChoice, Seam
from jobs.customers.models import Customer, Vehicle
from jobs.search.models import Findable, SearchKey
from jobs.search.spelling import number_keys
from shopapp.models import Bay, Person


def choices_of(codes: type[StrEnum]) -> list[tuple[str, str]]:
    """The codes of a pure enum as choices, in words."""
    return [(code.value, code.value.replace("_", " ")) for code in codes]


class Coverage(models.Model):
    """How one panel is to be filmed: agreed on the booking, worked on the order."""

    panel = models.CharField(max_length=24, help_text="A code of jobs/data/panels.csv.")
    method = models.CharField(max_length=12, choices=choices_of(Method))
    edge = models.CharField(max_length=12, choices=choices_of(Edge))
    badge = models.CharField(max_length=12, choices=choices_of(Badge))
    seam = models.CharField(max_length=12, choices=choices_of(Seam))
    note = models.CharField(max_length=120, blank=True)

    class Meta:
        abstract = True

    def __str__(self) -> str:
        return self.panel

    @property
    def choice(self) -> PanelChoice:
        """What was agreed for the panel, as the pure rooms know it."""
        return PanelChoice(
            panel=self.panel,
            method=Method(self.method),
            edge=Edge(self.edge),
            badge=Badge(self.badge),
            seam=Seam(self.seam),
            seam_at=self.note,
        )


class Booking(Findable):
    """A promise to a customer, with film reserved for it."""

    lock_rank = 5
    found_as = SearchKey.Of.BOOKING
    found_by = ("order_number",)

    class State(models.TextChoices):
        BOOKED = "booked", "booked"
        ARRIVED = "arrived", "arrived"
        CANCELLED = "cancelled", "cancelled"

    customer = models.ForeignKey(
        Customer, on_delete=models.PROTECT, related_name="bookings"
    )
    vehicle = models.ForeignKey(
        Vehicle, on_delete=models.PROTECT, related_name="bookings"
    )
    package = models.CharField(max_length=16, choices=choices_of(Package))
    film = models.ForeignKey("jobs.Film", on_delete=models.PROTECT)
    arrives_at = models.DateTimeField()
    promised_at = models.DateTimeField()
    bay = models.ForeignKey(Bay, on_delete=models.PROTECT, null=True, blank=True)
    state = models.CharField(max_length=10, choices=State.choices, default=State.BOOKED)
    order_number = models.CharField(
        "customer's order number", max_length=40, blank=True
    )
    price = models.DecimalField(
        max_digits=10,
        decimal_places=2,
        null=True,
        blank=True,
    )
    tax_pct = models.DecimalField(
        max_digits=6,
        decimal_places=3,
        default=Decimal(0),
        help_text="Tax that the price holds, as it was when it was agreed.",
    )
    deposit = models.DecimalField(
        max_digits=10,
        decimal_places=2,
        default=Decimal(0),
    )
    paint_history = models.TextField(
        blank=True, help_text="Repaints with dates, coating, wax, old film."
    )
    notes = models.TextField(blank=True)
    booked_by = models.ForeignKey(Person, on_delete=models.PROTECT, null=True)
    booked_at = models.DateTimeField(default=timezone.now)

    class Meta:
        ordering = ["arrives_at", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(promised_at__gt=F("arrives_at")),
                name="booking_promise_after_arrival",
            )
        ]
        indexes = [
            models.Index(fields=["state", "arrives_at"], name="booking_arrivals"),
            models.Index(fields=["promised_at"], name="booking_promised"),
        ]

    def __str__(self) -> str:
        return f"booking {self.pk}"

    def search_keys(self) -> set[str]:
        """By the customer's order number."""
        return number_keys(self.order_number)


class BookingPanel(Coverage):
    """A panel as agreed when the car was booked."""

    booking = models.ForeignKey(
        Booking, on_delete=models.CASCADE, related_name="panels"
    )

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["booking", "panel"], name="booking_panel_once"
            )
        ]
