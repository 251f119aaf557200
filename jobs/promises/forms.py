"""Forms about the promised time."""

from __future__ import annotations

from django import forms
from django.utils.translation import gettext_lazy as _

from jobs.bookings.forms import moment_field
from jobs.models import PromiseCheck
from shopapp.columns import column


class DoubtForm(forms.Form):
    """Why the promised time will not hold, in a few words."""

    because = column(PromiseCheck.because, _("Why?"))


class TellForm(forms.Form):
    """The time that the customer was told."""

    promised_at = moment_field(_("New time"))
