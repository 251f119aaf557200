"""Vessels, dispensers and water as they are typed."""

from __future__ import annotations

import re
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from mixing import limits
from mixing.chemistry.water import hardness_mg_per_l
from mixing.models import Dispenser, KindMark, Vessel, WaterTest
from mixing.shelf.models import Material
from shopapp.amounts import Amount, Whole
from shopapp.columns import column
from shopapp.typed import readings


class EmptyForm(forms.Form):
    """The end-of-shift list: which vessels are rinsed, and what was left in each."""

    vessels = forms.ModelMultipleChoiceField(
        label=_("Emptied and rinsed"),
        queryset=Vessel.objects.filter(retired=False),
        to_field_name="code",
        error_messages={"required": _("Tick the vessels that are rinsed.")},
    )

    def __init__(self, *args: Any, codes: list[str], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.codes = codes
        for code in codes:
            self.fields[f"left_{code}"] = Amount(
                label=_("Left over"), within=limits.LEFT_ML, required=False
            )

    def clean(self) -> dict[str, Any]:
        """`vessels` as a list, `left_ml` by code."""
        cleaned = super().clean() or {}
        left = {code: cleaned.pop(f"left_{code}", None) for code in self.codes}
        cleaned["left_ml"] = {code: ml for code, ml in left.items() if ml is not None}
        cleaned["vessels"] = sorted(
            cleaned.get("vessels") or [], key=lambda each: each.code
        )
        return cleaned


class VesselForm(forms.Form):
    """A vessel as its label and its sides say."""

    code = forms.RegexField(
        label=_("Code"),
        regex=r"^[A-Z0-9]{1,8}$",
        help_text=_("One to eight capital letters and digits: S1."),
        error_messages={"invalid": _("Take one to eight capital letters and digits.")},
    )
    kind = column(Vessel.kind, _("Kind, for life"))
    form = column(Vessel.form, _("Form"))
    capacity_ml = Amount(label=_("Holds to the brim"), within=limits.VESSEL_ML)
    usable_ml = Amount(label=_("Is filled to"), within=limits.VESSEL_ML)
    material = forms.ChoiceField(
        label=_("Made of"),
        choices=[
            ("", _("not said: taken as plastic")),
            *[each for each in Material.choices if each[0] != Material.DRUM],
        ],
        required=False,
    )
    approved = column(
        Vessel.approved, _("Transport approval or laboratory listing on it")
    )


class ShapeForm(forms.Form):
    """The shape of a kind."""

    kind = column(KindMark.kind, _("Kind"))
    shape = column(KindMark.shape, _("Shape"))


class DispenserForm(forms.Form):
    """A dispenser as it is marked."""

    name = column(Dispenser.name, _("Name"))
    form = column(Dispenser.form, _("Form"))
    graduation_ml = Amount(
        label=_("Step between two marks, or one stroke"),
        within=limits.GRADUATION_ML,
    )
    error_ml = Amount(label=_("May be off by, each fill"), within=limits.ERROR_ML)
    capacity_ml = Amount(label=_("Holds"), within=limits.DISPENSER_ML)
    in_use = column(Dispenser.in_use, _("In use"), initial=True)


class CalibrateForm(forms.Form):
    """Drops counted to a mark, several times."""

    volume_ml = Amount(label=_("Filled to this mark"), within=limits.MARK_ML)
    counts = forms.CharField(
        label=_("Drops counted each time"),
        help_text=_("At least twice, such as 6 6 7."),
        max_length=60,
    )

    def clean_counts(self) -> list[int]:
        """The counts as numbers."""
        words = re.split(r"[\s,;]+", self.cleaned_data["counts"].strip())
        if not all(
            word.isdecimal() and limits.COUNTED_DROPS.holds(int(word)) for word in words
        ):
            raise forms.ValidationError(_("Write whole numbers, such as 6 6 7."))
        return [int(word) for word in words]


class WeighForm(forms.Form):
    """Drops weighed, several times."""

    drops = Whole(
        label=_("Drops each time"),
        within=limits.WEIGHED_DROPS,
        initial=20,
        widget=forms.TextInput(attrs={"inputmode": "numeric", "size": 5}),
        error_messages={
            "min_value": _("Weigh at least 5 drops: a kitchen scale reads no less.")
        },
    )
    masses_g = forms.CharField(
        label=_("They weighed, in grams"),
        help_text=_("At least twice, such as 6.9 7.1 7.0."),
        max_length=80,
    )
    density_g_per_ml = Amount(
        label=_("The soap's density, if its data sheet says it"),
        within=limits.SOAP_G_PER_ML,
        required=False,
    )

    def clean_masses_g(self) -> list[float]:
        """The weights as numbers; a comma within one is a decimal point."""
        words = re.split(r",?[\s;]+", self.cleaned_data["masses_g"].strip())
        # What drops weigh is never in the thousands.
        found = [float(min(readings(word), default=0)) for word in words]
        if not all(limits.WEIGHED_G.holds(mass) for mass in found):
            raise forms.ValidationError(
                _("Write the weights in grams, such as 6.9 7.1 7.0.")
            )
        return found


class WaterForm(forms.Form):
    """Where the water comes from, and its test."""

    source = column(WaterTest.source, _("Source"))
    tds_mg_per_l = Amount(
        label=_("Dissolved solids"),
        within=limits.TDS_MG_PER_L,
        required=False,
        help_text=_("1 ppm of a TDS meter counts as 1 mg/L."),
    )
    hardness_mg_per_l = Amount(
        label=_("Hardness, as calcium carbonate"),
        within=limits.HARDNESS_MG_PER_L,
        required=False,
    )
    hardness_unit = forms.ChoiceField(
        label=_("The strip reads"),
        choices=[
            ("mg/L", _("mg/L or ppm")),
            ("gpg", _("grains per US gallon")),
            ("dH", _("German degrees")),
            ("fH", _("French degrees")),
            ("mmol/L", "mmol/L"),
        ],
        required=False,
    )
    tested_on = column(WaterTest.tested_on, _("Tested on"))

    def clean(self) -> dict[str, Any]:
        """The hardness in mg/L, whatever the strip reads."""
        cleaned = super().clean() or {}
        unit = cleaned.pop("hardness_unit", "") or "mg/L"
        read = cleaned.get("hardness_mg_per_l")
        if read is None:
            return cleaned
        hardness = hardness_mg_per_l(value=read, unit=unit)
        if not limits.HARDNESS_MG_PER_L.holds(hardness):
            self.add_error(
                "hardness_mg_per_l",
                _("No water is so hard: read the strip and its unit again."),
            )
        return {**cleaned, "hardness_mg_per_l": hardness}
