"""How the shop plans, as it is typed."""

from __future__ import annotations

from django import forms
from django.utils.translation import gettext_lazy as _

from jobs import limits
from shopapp.settings_forms import whole


class PlanRuleForm(forms.Form):
    """How near plans stay as they are, and how film is cut."""

    freeze_h = whole(
        _("What begins within so many opening hours stays as it is"),
        within=limits.FREEZE_H,
    )
    cutters = whole(
        _("Film cutters"),
        within=limits.CUTTERS,
        help_text=_("0: pre-cut film comes cut."),
    )
    cut_min = whole(_("Cutting the film of one car, minutes"), within=limits.CUT_MIN)
