"""The shop's cure table as it is typed."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from jobs import limits
from jobs.models import CureTable
from shopapp.amounts import Amount
from shopapp.columns import column
from shopapp.settings_forms import whole


def hours(label: Any) -> Amount:
    """Time in the shop."""
    return Amount(within=limits.CURE_H, label=label)


class CureForm(forms.Form):
    """How long film settles, and the days of care."""

    small_h = hours(_("Single panels"))
    partial_h = hours(_("Partial front"))
    overnight_h = hours(_("Full front and more: overnight, and at least"))
    after_opening_h = hours(_("Overnight is until so long after opening"))
    cold_nights = column(
        CureTable.cold_nights,
        _("The bay falls below 15 °C (59 °F) at night: a day more"),
    )
    easy_days = whole(_("Easy on fast roads, days"), within=limits.CARE_DAYS)
    no_press_days = whole(_("No pressing or picking, days"), within=limits.CARE_DAYS)
    pockets_days = whole(_("Pockets and haze go within, days"), within=limits.CARE_DAYS)
    recheck_from_days = whole(_("Recheck from day"), within=limits.CARE_DAYS)
    recheck_until_days = whole(_("Recheck until day"), within=limits.CARE_DAYS)

    @staticmethod
    def initial_of(row: CureTable) -> dict[str, Any]:
        """The table as it is."""
        return {name: getattr(row, name) for name in CureForm.base_fields}

    def groups(self) -> list[tuple[Any, list[forms.BoundField]]]:
        """The fields under their headings."""
        settles = ["small_h", "partial_h", "overnight_h", "after_opening_h"]
        care = ["easy_days", "no_press_days", "pockets_days"]
        recheck = ["recheck_from_days", "recheck_until_days"]
        return [
            (_("In the shop"), [self[n] for n in (*settles, "cold_nights")]),
            (_("After hand-over"), [self[n] for n in (*care, *recheck)]),
        ]
