"""The air of the shop and its wipe, as they are typed."""

from __future__ import annotations

from django import forms
from django.utils.translation import gettext_lazy as _

from mixing.safety.height import HIGHEST_M, LOWEST_M
from shopapp.amounts import Amount


class AirForm(forms.Form):
    """Asked once: how high the shop lies, and how it wipes."""

    height_m = Amount(
        label=_("Height above the sea"),
        unit="m_whole",
        low=LOWEST_M,
        high=HIGHEST_M,
        help_text=_("0 by default. Any map tells it; to 50 m is near enough."),
    )
    wipe_ml_per_m2 = Amount(
        label=_("Panel wipe before the film"),
        unit="wipe_ml_per_m2",
        low=1,
        high=500,
        help_text=_("Common practice: 20 mL a m². Unsure: weigh the bottle once."),
    )
    wipe_min_per_panel = Amount(
        label=_("Minutes to wipe a panel"),
        unit="min_each",
        low=0.1,
        high=60,
        help_text=_("Common practice: 1.5 minutes."),
    )
