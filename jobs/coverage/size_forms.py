"""A panel that was measured, in millimetres or inches; what is added to one."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from jobs import limits
from jobs.coverage.blanks import MM_PER_INCH, size_classes
from jobs.coverage.catalogue import Body, Method, panels
from jobs.coverage.year_forms import YearField
from jobs.models import MeasuredPanel
from jobs.prices.queries import panel_kinds
from shopapp.amounts import Amount, Number
from shopapp.columns import column
from shopapp.limits import Range
from shopapp.models import the_shop
from shopapp.telling import tell
from shopapp.units import System

METHODS = (
    (Method.HAND_FITTED.value, _("by hand")),
    (Method.PRE_CUT.value, _("pre-cut")),
)


class SideField(Number):
    """A side as the tape shows it."""

    widget = forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off"})


class PanelSizeForm(forms.Form):
    """Which car, which panel, how large."""

    make = column(MeasuredPanel.make, _("Make"))
    model = column(MeasuredPanel.model, _("Model"))
    year_from = YearField(label=_("Years from"))
    year_to = YearField(label=_("Years to"))
    body = forms.ChoiceField(
        label=_("Body"), choices=[(body.value, body.value) for body in Body]
    )
    size_class = forms.ChoiceField(label=_("Size class"))
    panel = forms.ChoiceField(label=_("Panel"))
    unit = forms.ChoiceField(
        label=_("Measured in"), choices=[("mm", _("mm")), ("in", _("inches"))]
    )
    length_mm = SideField(label=_("Length, along the car"))
    width_mm = SideField(label=_("Width or height"))

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["size_class"].choices = list(size_classes().items())  # type: ignore[attr-defined]
        self.fields["panel"].choices = [  # type: ignore[attr-defined]
            (panel.code, f"{panel.name}, {panel.side}" if panel.side else panel.name)
            for panel in panels().values()
        ]
        us = the_shop().system is System.US
        self.fields["unit"].initial = "in" if us else "mm"

    def clean(self) -> dict[str, Any]:
        """Whole millimetres; a panel that this body has."""
        cleaned = super().clean() or {}
        if self.errors:
            return cleaned
        factor = MM_PER_INCH if cleaned["unit"] == "in" else 1.0
        system = System.US if cleaned["unit"] == "in" else System.METRIC
        for name, within in limits.PANEL.items():
            side = within.meant(cleaned[name] * factor, system=system)
            if problem := within.refusal(side, system=system):
                self.add_error(name, tell(problem, system=system))
                continue
            cleaned[name] = round(side)
        if Body(cleaned["body"]) not in panels()[cleaned["panel"]].bodies:
            self.add_error("panel", _("Such a body has no such panel."))
        first, last = cleaned["year_from"], cleaned["year_to"]
        if first and last and first > last:
            self.add_error("year_to", _("This lies before the first year."))
        return cleaned


def _side(label: Any, *, within: Range) -> Amount:
    return Amount(within=within, label=label, required=False)


class AllowanceForm(forms.Form):
    """What is added a side, along and across a kind of panel."""

    kind = forms.ChoiceField(label=_("Panel"), required=False)
    method = forms.ChoiceField(label=_("Cut"), choices=METHODS)
    wrap_length_mm = _side(_("Edge wrap, along"), within=limits.WRAP_MM)
    wrap_width_mm = _side(_("Edge wrap, across"), within=limits.WRAP_MM)
    hold_length_mm = _side(_("Handling margin, along"), within=limits.HOLD_MM)
    hold_width_mm = _side(_("Handling margin, across"), within=limits.HOLD_MM)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["kind"].choices = [  # type: ignore[attr-defined]
            ("", _("every panel")),
            *panel_kinds().items(),
        ]
