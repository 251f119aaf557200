"""The history of a work order or a booking, and the reasons given against a rule."""

from __future__ import annotations

from django.db import models

from jobs.bookings.models import Booking
from jobs.workorders.models import WorkOrder
from mixing.models import Immutable
from shopapp.models import HistoryEntry, Person


class WorkOrderEvent(Immutable, HistoryEntry):
    """One change of a work order. Append-only."""

    workorder = models.ForeignKey(
        WorkOrder, on_delete=models.PROTECT, related_name="events"
    )

    class Meta(HistoryEntry.Meta):
        indexes = [
            models.Index(fields=["workorder", "id"], name="event_of_order"),
            models.Index(fields=["what", "done_at"], name="event_what"),
        ]


class BookingEvent(Immutable, HistoryEntry):
    """One change of a booking. Append-only."""

    booking = models.ForeignKey(
        Booking, on_delete=models.PROTECT, related_name="events"
    )


class Override(Immutable):
    """A reason written against a rule; it prints."""

    workorder = models.ForeignKey(
        WorkOrder, on_delete=models.PROTECT, related_name="overrides"
    )
    rule = models.CharField(max_length=32)
    reason = models.CharField(max_length=200)
    sentence = models.TextField(help_text="What the rule said.")
    by = models.ForeignKey(Person, on_delete=models.PROTECT, null=True)
    at = models.DateTimeField()

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return self.rule
