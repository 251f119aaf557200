"""Another day for a booked car."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from django import forms
from django.http import QueryDict
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from jobs.models import Booking
from jobs.plan.visit_queries import days_near_visit, moment_of, visit_refused
from shopapp.columns import DATE
from shopapp.models import the_shop


class MoveDayForm(forms.Form):
    """Day and hour; the promise moves along. A day near it comes by its own button."""

    day = forms.DateField(label=_("New day"), widget=DATE)
    at = forms.TimeField(
        label=_("At"),
        widget=forms.TimeInput(attrs={"type": "time"}, format="%H:%M"),
    )

    def __init__(self, data: QueryDict | None = None, *args: Any, **more: Any) -> None:
        if data is not None and (day_and_hour := data.get("near")):
            data = data.copy()
            data["day"], _, data["at"] = day_and_hour.partition("T")
        super().__init__(data, *args, **more)

    def near(self) -> tuple[datetime, ...]:
        """Open days near the one that was refused."""
        day, at = (self.data.get(name, "") for name in ("day", "at"))
        moment = moment_of(f"{day}T{at}")
        now = timezone.now()
        if moment is None or visit_refused(moment, now=now) is None:
            return ()
        return days_near_visit(moment, now=now)

    @staticmethod
    def initial_of(booking: Booking) -> dict[str, Any]:
        """When it comes now."""
        comes = timezone.localtime(booking.arrives_at, the_shop().zone)
        return {"day": comes.date(), "at": comes.time()}
