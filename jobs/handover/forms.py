"""Forms of the hand-over page."""

from __future__ import annotations

from django import forms
from django.utils.translation import gettext_lazy as _

from jobs.bookings.forms import moment_field
from jobs.models import Recheck, WorkOrder
from jobs.workorders.forms import ReasonsForm
from shopapp.columns import column


class GiveForm(ReasonsForm):
    """How the customer agreed, and when the car comes back."""

    how = forms.ChoiceField(
        label=_("The customer agrees"),
        # Signed for once, at drop-off; nothing is drawn at hand-over.
        choices=[
            (value, word)
            for value, word in WorkOrder.Agreed.choices
            if value != WorkOrder.Agreed.SIGNATURE
        ],
        required=False,
        widget=forms.RadioSelect,
    )
    recheck_at = moment_field(_("Recheck"), required=False)


class RecheckFoundForm(forms.Form):
    """What the recheck found, and when it is looked at again."""

    outcome = column(Recheck.outcome, _("What it found"), widget=forms.RadioSelect)
    note = column(Recheck.note, _("Note"))
    again_at = moment_field(_("Look again, if it is watched on"), required=False)


class RecheckForm(forms.Form):
    """When the car comes back to be looked at."""

    at = moment_field(_("Recheck"))
