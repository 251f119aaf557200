"""The air of the shop and its wipe, as they are typed."""

from __future__ import annotations

from django import forms
from django.utils.translation import gettext_lazy as _

from mixing import limits
from shopapp.amounts import Amount


class AirForm(forms.Form):
    """Asked once: how high the shop lies, and how it wipes."""

    height_m = Amount(
        label=_("Height above the sea"),
        within=limits.HEIGHT_M,
        help_text=_("0 by default. Any map tells it; to 50 m is near enough."),
    )
    wipe_ml_per_m2 = Amount(
        label=_("Panel wipe before the film"),
        within=limits.WIPE_ML_PER_M2,
        help_text=_(
            "Common practice: 20 mL a m² (0.063 fl oz a ft²). Unsure: weigh the bottle "
            "once."
        ),
    )
    wipe_min_per_panel = Amount(
        label=_("Minutes to wipe a panel"),
        within=limits.WIPE_MIN,
        help_text=_("Common practice: 1.5 minutes."),
    )
