"""What this shop mixes, how long it keeps, how warm a panel may be, as it is typed."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from mixing import limits
from mixing.models import Kind
from shopapp.amounts import Amount
from shopapp.settings_forms import whole


class LayingForm(forms.Form):
    """Solutions, days of use, limits of the panel."""

    kinds = forms.MultipleChoiceField(
        label=_("This shop mixes"),
        choices=Kind.choices,
        widget=forms.CheckboxSelectMultiple,
        error_messages={"required": _("Tick at least one solution.")},
    )
    slip_days = whole(_("Slip, days"), within=limits.KEEPS_DAYS)
    tack_days = whole(_("Tack, days"), within=limits.KEEPS_DAYS)
    all_in_one_days = whole(_("All-in-one, days"), within=limits.KEEPS_DAYS)
    gel_days = whole(_("Gel, days"), within=limits.KEEPS_DAYS)
    cold_c = Amount(label=_("Cold under"), within=limits.LAYING_C)
    hot_c = Amount(label=_("Hot over"), within=limits.LAYING_C)
    too_hot_c = Amount(label=_("Nothing is mixed over"), within=limits.LAYING_C)

    @property
    def days(self) -> list[Any]:
        """How long each solution keeps."""
        return [self[name] for name in self.fields if name.endswith("_days")]

    @property
    def limits(self) -> list[Any]:
        """The panel's temperatures."""
        return [self[name] for name in self.fields if name.endswith("_c")]
