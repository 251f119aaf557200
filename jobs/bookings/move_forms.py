"""Another day for a booked car."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from jobs.models import Booking
from shopapp.columns import DATE
from shopapp.models import the_shop


class MoveDayForm(forms.Form):
    """Day and hour; the promise moves along."""

    day = forms.DateField(label=_("New day"), widget=DATE)
    at = forms.TimeField(
        label=_("At"),
        widget=forms.TimeInput(attrs={"type": "time"}, format="%H:%M"),
    )

    @staticmethod
    def initial_of(booking: Booking) -> dict[str, Any]:
        """When it comes now."""
        comes = timezone.localtime(booking.arrives_at, the_shop().zone)
        return {"day": comes.date(), "at": comes.time()}
