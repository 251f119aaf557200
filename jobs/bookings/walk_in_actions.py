"""A car that nobody booked stands at the door: booked for now and taken in, at once."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from jobs.bookings.actions import Agreed, make_booking
from jobs.bookings.arrival_actions import take_in_car
from jobs.bookings.queries import is_free
from jobs.plan.visit_queries import visit_refused
from shopapp.frame import Act, Json, Refused, action


@dataclass(frozen=True, kw_only=True)
class AgreedNow(Agreed):
    """What was agreed for a car that is here.

    is_by_plan  nobody typed the promise

    A second tap comes a moment later, to another plan: it is the same press all the
    same, so neither moment is part of what was sent.
    """

    is_by_plan: bool
    any_day: bool = True

    def to_json(self) -> Json:
        """What was said."""
        computed = {"arrives_at", *(("promised_at",) if self.is_by_plan else ())}
        said = vars(self).items()
        return {name: value for name, value in said if name not in computed}


@action("booking.walk_in")
def walk_in(act: Act, /, *, agreed: AgreedNow, **whose: Any) -> Json:
    """Book a car that is here, and take it in; a full shop is said, never in the way.

    whose  customer and car, as for any booking
    """
    if why := visit_refused(agreed.promised_at, now=act.now):
        raise Refused(why, field="promised_at")
    booked = make_booking(act, agreed=agreed, **whose) or {}
    # A car in the bay that was chosen: this one stands nowhere yet, and is asked for.
    bay = agreed.bay if agreed.bay and is_free(agreed.bay) else None
    return take_in_car(act, booking_pk=booked["pk"], bay=bay) or {}
