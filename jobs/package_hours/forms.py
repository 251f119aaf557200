"""Hours and nights of a package as they are typed."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext as _now
from django.utils.translation import gettext_lazy as _

from jobs import limits
from jobs.models import PackageHours
from jobs.package_hours.defaults import PackageTimes
from shopapp.amounts import Number
from shopapp.columns import column
from shopapp.limits import Range
from shopapp.settings_forms import whole

IN_HOURS = {"laying_h": "laying_min", "helper_h": "helper_min"}
"""An owner thinks of them in hours; they are kept in minutes."""


def hours(label: Any, *, within: Range) -> Number:
    """Hours that may stay empty."""
    return Number(label=label, within=within.scaled(1 / 60, "h"), required=False)


class HoursForm(forms.Form):
    """How long a package takes here; what is empty is as usual."""

    prep_min = whole(_("Prep, minutes"), within=limits.PREP_MIN, required=False)
    laying_h = hours(
        _("Film work, hours: first panel ready to last laid"),
        within=limits.LAYING_MIN,
    )
    helper_h = hours(_("Of which with two people, hours"), within=limits.HELPER_MIN)
    nights = whole(
        _("Nights in the shop at least"), within=limits.NIGHTS, required=False
    )
    ready_from = column(
        PackageHours.ready_from, _("Ready on the last day"), empty=_("as usual")
    )

    def __init__(self, *args: Any, usual: PackageTimes, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        said = {
            "prep_min": str(usual.prep_min),
            "laying_h": _now("by its panels"),
            "helper_h": f"{usual.helper_min / 60:g}",
            "nights": str(usual.nights),
        }
        for name, value in said.items():
            self.fields[name].help_text = _now("Empty: %(usual)s.") % {"usual": value}
        halves = dict(PackageHours.Half.choices)
        if half := halves.get(usual.ready_from):
            self.fields["ready_from"].help_text = _now("Usual: %(half)s.") % {
                "half": half
            }

    @staticmethod
    def initial_of(row: PackageHours | None) -> dict[str, Any]:
        """What the owner said."""
        if row is None:
            return {}
        kept = ("prep_min", "nights", "ready_from")
        known = {name: getattr(row, name) for name in kept}
        for name, minutes in IN_HOURS.items():
            value = getattr(row, minutes)
            known[name] = None if value is None else f"{value / 60:g}"
        return known

    def clean(self) -> dict[str, Any]:
        """Hours as minutes."""
        cleaned = super().clean() or {}
        for name, minutes in IN_HOURS.items():
            typed = cleaned.pop(name, None)
            cleaned[minutes] = None if typed is None else round(typed * 60)
        return cleaned
