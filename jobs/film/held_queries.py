"""Film that is still to be cut: what a car waits for, and what is held for it."""

from __future__ import annotations

from django.db.models import Exists, OuterRef, Q, QuerySet

from jobs.models import Booking, FilmReservation, OrderPanel
from jobs.pulls.queries import panels_to_cut
from jobs.stages.table import CLOSED

State = Booking.State


def held_film() -> QuerySet[FilmReservation]:
    """What is held for cars that still want film.

    A car that is gone, or wears its film, holds nothing, whoever forgot to let go.
    """
    bare = OrderPanel.objects.filter(
        workorder__booking=OuterRef("booking"), struck_off_at=None, laid_at=None
    )
    here = Q(booking__state=State.ARRIVED) & Q(Exists(bare))
    return FilmReservation.objects.filter(released_at=None).filter(
        Q(booking__state=State.BOOKED)
        | here & ~Q(booking__workorder__stage=CLOSED.value)
    )


def is_over(booking: Booking) -> bool:
    """Whether nothing of it is to come: cancelled, or handed over."""
    if booking.state == State.ARRIVED:
        return booking.workorder.is_closed
    return booking.state == State.CANCELLED


def still_to_cut(booking: Booking) -> set[str]:
    """Codes of the panels of a booking that still want film."""
    if is_over(booking):
        return set()
    if booking.state == State.ARRIVED:
        return {panel.panel for panel in panels_to_cut(booking.workorder)}
    return {panel.panel for panel in booking.panels.all()}
