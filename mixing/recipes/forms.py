"""A recipe as a manager edits it: amounts, limits, the points of its curves."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from mixing import limits
from mixing.models import RecipeVersion
from mixing.recipes.spec import CurvePoint, RecipeSpec
from shopapp.amounts import Amount
from shopapp.columns import column
from shopapp.limits import Range

POINTS = range(1, 9)


class RecipeForm(forms.Form):
    """The next version of a recipe; only what its kind holds is asked for."""

    reference_ml = Amount(
        label=_("The amounts are for a bottle of"), within=limits.VESSEL_ML
    )
    vv_pct = Amount(label=_("Strength when mixed"), within=limits.MIXED_VV_PCT)
    soap_ml = Amount(label=_("Soap at 20 to 24 °C"), within=limits.SOAP_ML)
    strength_tolerance_pct = Amount(
        label=_("Strength may be off by"), within=limits.STRENGTH_OFF_PCT
    )
    soap_tolerance_pct = Amount(
        label=_("Soap may be off by"), within=limits.SOAP_OFF_PCT
    )
    use_low_ml_per_m2 = Amount(label=_("Use, from"), within=limits.USE_ML_PER_M2)
    use_high_ml_per_m2 = Amount(label=_("Use, to"), within=limits.USE_ML_PER_M2)
    reserve_pct = Amount(label=_("Held in reserve"), within=limits.RESERVE_PCT)
    strength_curve_on = forms.BooleanField(
        label=_("The strength follows the panel's temperature"), required=False
    )
    why = column(RecipeVersion.why, _("Why does it change?"))

    def __init__(self, *args: Any, spec: RecipeSpec, **kwargs: Any) -> None:
        kwargs.setdefault("initial", _initial(spec))
        super().__init__(*args, **kwargs)
        self.spec = spec
        self.made: RecipeSpec | None = None
        if not spec.has_alcohol:
            for name in ("vv_pct", "strength_tolerance_pct", "strength_curve_on"):
                del self.fields[name]
        if not spec.has_soap:
            for name in ("soap_ml", "soap_tolerance_pct"):
                del self.fields[name]
        if spec.has_soap:
            self._add_points("soap", limits.SOAP_ML)
        if spec.has_alcohol:
            self._add_points("strength", limits.MIXED_VV_PCT)

    def _add_points(self, curve: str, within: Range) -> None:
        for n in POINTS:
            self.fields[f"{curve}_temp_{n}"] = Amount(
                label=_("At"), within=limits.CURVE_C, required=False
            )
            self.fields[f"{curve}_amount_{n}"] = Amount(
                label=_("this much"), within=within, required=False
            )

    def rows(self, curve: str) -> Iterator[tuple[Any, Any]]:
        """The point fields of a curve, in pairs."""
        for n in POINTS:
            if f"{curve}_temp_{n}" in self.fields:
                yield self[f"{curve}_temp_{n}"], self[f"{curve}_amount_{n}"]

    def soap_rows(self) -> list[tuple[Any, Any]]:
        """Points of the soap curve."""
        return list(self.rows("soap"))

    def strength_rows(self) -> list[tuple[Any, Any]]:
        """Points of the strength curve."""
        return list(self.rows("strength"))

    def plain_fields(self) -> list[Any]:
        """The fields that are no points of a curve, and not the why."""
        return [
            self[name]
            for name in self.fields
            if "_temp_" not in name and "_amount_" not in name and name != "why"
        ]

    def clean(self) -> dict[str, Any]:
        """`spec`, the whole next version."""
        cleaned = super().clean() or {}
        points = {curve: self._points(curve, cleaned) for curve in ("soap", "strength")}
        # A preview is drawn before the why is written.
        if set(self.errors) - {"why"}:
            return cleaned
        known = {
            name: cleaned[name]
            for name in self.fields
            if name in cleaned and hasattr(self.spec, name)
        }
        try:
            self.made = replace(
                self.spec,
                # Its version is the action's business: the same press sent again
                # must say the same, though its own version is the newest by then.
                key=self.spec.kind.value,
                **known,
                reserve_share=cleaned["reserve_pct"] / 100,
                soap_curve=points["soap"],
                strength_curve=points["strength"],
            )
        except ValueError as wrong:
            raise forms.ValidationError(str(wrong)) from None
        return {"spec": self.made, "why": cleaned.get("why", "")}

    def _points(self, curve: str, cleaned: dict[str, Any]) -> tuple[CurvePoint, ...]:
        points = []
        for n in POINTS:
            names = f"{curve}_temp_{n}", f"{curve}_amount_{n}"
            temp, amount = (cleaned.get(name) for name in names)
            if (temp is None) != (amount is None):
                empty = names[0] if temp is None else names[1]
                if empty in self.fields and empty not in self.errors:
                    self.add_error(empty, _("A point has both, or neither."))
            elif temp is not None and amount is not None:
                points.append(CurvePoint(temp_c=temp, amount=amount))
        return tuple(sorted(points, key=lambda point: point.temp_c))


def _initial(spec: RecipeSpec) -> dict[str, Any]:
    names = (
        "reference_ml",
        "vv_pct",
        "soap_ml",
        "strength_tolerance_pct",
        "soap_tolerance_pct",
        "use_low_ml_per_m2",
        "use_high_ml_per_m2",
        "strength_curve_on",
    )
    initial: dict[str, Any] = {name: getattr(spec, name) for name in names}
    initial["reserve_pct"] = spec.reserve_share * 100
    for curve in ("soap", "strength"):
        for n, point in enumerate(getattr(spec, f"{curve}_curve"), start=1):
            initial[f"{curve}_temp_{n}"] = point.temp_c
            initial[f"{curve}_amount_{n}"] = point.amount
    return initial
