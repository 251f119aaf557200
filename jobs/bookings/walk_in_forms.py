"""The booking's form for a car that is here now: no arrival, no promise is asked."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from django.utils import timezone

from jobs.bookings.forms import BookingForm
from jobs.bookings.walk_in_actions import AgreedNow
from jobs.plan.fit_queries import promise_at_once


class WalkInForm(BookingForm):
    """A booking that arrives now; without a typed promise it gets the plan's."""

    visits = ("promised_at",)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name in ("arrives_at", "promised_at"):
            self.fields[name].required = False

    def clean_arrives_at(self) -> datetime:
        """Now, whatever day was looked at before."""
        return timezone.now().replace(second=0, microsecond=0)

    def _agreed(self, cleaned: dict[str, Any]) -> dict[str, Any]:
        typed = cleaned["promised_at"]
        cleaned["promised_at"] = typed or promise_at_once(cleaned, now=timezone.now())
        facts = super()._agreed(cleaned)
        said = {**vars(facts["agreed"]), "any_day": True}
        return {**facts, "agreed": AgreedNow(**said, is_by_plan=typed is None)}
