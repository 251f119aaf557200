"""Bays and the local code as they are typed."""

from __future__ import annotations

from collections.abc import Callable
from math import prod
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy as _

from mixing import limits
from mixing.air.hazard_queries import known_limits
from mixing.rule_sets.queries import rule_set_names, rules_named, rules_of
from mixing.safety.rules import AIR_8H
from mixing.safety.ventilation import mixing_factor_from
from shopapp.amounts import Amount
from shopapp.columns import column, yes_or_no
from shopapp.limits import POSITION
from shopapp.models import Bay, Shop, the_shop
from shopapp.settings_forms import whole
from shopapp.typed import readings
from shopapp.units import shown

SIZES = ("length_m", "width_m", "height_m")


class MixingField(forms.CharField):
    """A mixing number; "33 %" is an efficiency and nothing else."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(**kwargs)
        self.widget = forms.TextInput(attrs={"inputmode": "decimal", "size": 8})
        self.has_percent = False

    def prepare_value(self, value: Any) -> Any:
        """A number without noise."""
        return f"{value:g}" if isinstance(value, float) else value

    def clean(self, value: Any) -> Any:
        """A number, as typed."""
        text = super().clean(value).strip()
        self.has_percent = text.endswith("%")
        if not text:
            return None
        meant = readings(text.removesuffix("%"))
        if not meant:
            raise ValidationError(_("Enter a number."))
        # A factor or an efficiency is never in the thousands.
        number = float(min(meant))
        return number / 100 if self.has_percent else number


class BayForm(forms.Form):
    """A bay: size, exhaust as it was measured, how the air mixes."""

    name = column(Bay.name, _("Name"))
    position = whole(_("Place in the list"), within=POSITION)
    length_m = Amount(label=_("Length"), within=limits.SIDE_M, required=False)
    width_m = Amount(label=_("Width"), within=limits.SIDE_M, required=False)
    height_m = Amount(label=_("Height"), within=limits.BAY_HEIGHT_M, required=False)
    exhaust_m3_per_h = Amount(
        label=_("Exhaust flow as measured"),
        within=limits.EXHAUST_M3_PER_H,
        required=False,
        help_text=_("Leave it empty where there is none or nobody has measured it."),
    )
    exhaust_measured_on = column(Bay.exhaust_measured_on, _("Measured on"))
    exhaust_method = column(
        Bay.exhaust_method,
        _("How it was measured"),
        help_text=_("Such as: vane anemometer at the grille."),
    )
    mixing_factor = MixingField(label=_("How well the air mixes"), required=False)
    mixing_factor_basis = forms.ChoiceField(
        label=_("What this number means"),
        choices=[
            ("", _("not said")),
            (Bay.FactorBasis.K, _("K: 1 is evenly mixed, 10 is poor")),
            (Bay.FactorBasis.EFFICIENCY, _("efficiency: 1 is evenly mixed, 0.1 poor")),
        ],
        required=False,
    )
    floor_drain = yes_or_no(_("Floor drain"))
    retired = column(Bay.retired, _("Not used any more"))

    def clean(self) -> dict[str, Any]:
        """What the safety room would refuse is said at its field."""
        cleaned = super().clean() or {}
        # Each on its own: one slip does not hide another.
        if not self.errors.keys() & set(SIZES):
            self._check_sides(cleaned)
        if not self.errors.keys() & {"mixing_factor", "mixing_factor_basis"}:
            self._check_mixing(cleaned["mixing_factor"], cleaned["mixing_factor_basis"])
        return cleaned

    def _check_sides(self, cleaned: dict[str, Any]) -> None:
        """One or two sides make no volume: nobody is to believe that they did."""
        empty = [side for side in SIZES if cleaned[side] is None]
        if 0 < len(empty) < len(SIZES):
            told = _("Enter all three sides, or none: a volume needs each of them.")
            self.add_error(empty[0], told)
        volume = _volume(cleaned)
        if volume is None or limits.BAY_M3.holds(volume):
            return
        system = the_shop().system
        seen = [
            shown(each, "m3", system=system)
            for each in (volume, limits.BAY_M3.low, limits.BAY_M3.high)
        ]
        told = _("These sides make %s. A bay has %s to %s: check each side.")
        self.add_error("height_m", told % tuple(map(str, seen)))

    def _check_mixing(self, value: float | None, basis: str) -> None:
        if value is None and basis:
            self.add_error("mixing_factor", _("Type the number, or choose “not said”."))
        if value is None:
            return
        if not basis:
            self.add_error("mixing_factor_basis", _("Say what the number means."))
            return
        field = self.fields["mixing_factor"]
        assert isinstance(field, MixingField)
        if field.has_percent and basis == Bay.FactorBasis.K:
            self.add_error("mixing_factor", _("A K is not a percentage."))
            return
        self._try(
            "mixing_factor",
            lambda: mixing_factor_from(value=value, basis=BASIS[basis]),
        )

    def _try(self, field: str, check: Callable[[], object]) -> None:
        try:
            check()
        except ValueError as error:
            self.add_error(field, str(error))

    def groups(self) -> list[tuple[Any, list[forms.BoundField]]]:
        """The fields under their headings."""
        air = ("exhaust_m3_per_h", "exhaust_measured_on", "exhaust_method")
        mixing = ("mixing_factor", "mixing_factor_basis")
        return [
            (_("The bay"), [self[n] for n in ("name", "position", "floor_drain")]),
            (_("Size inside"), [self[n] for n in SIZES]),
            (_("Exhaust"), [self[n] for n in air]),
            (_("Mixing of the air"), [self[n] for n in mixing]),
        ]


BASIS = {Bay.FactorBasis.K.value: "K", Bay.FactorBasis.EFFICIENCY.value: "efficiency"}


def _volume(cleaned: dict[str, Any]) -> float | None:
    sides = [cleaned[name] for name in SIZES if cleaned.get(name) is not None]
    return float(prod(sides)) if len(sides) == len(SIZES) else None


class LocalCodeForm(forms.Form):
    """Whose rules the shop goes by, and whom to ask."""

    vapour_limit_ppm = whole(
        _("Limit for alcohol vapor, 8-hour average"), within=limits.VAPOUR_PPM
    )
    vapour_short_limit_ppm = whole(
        _("15-minute limit"),
        within=limits.SHORT_PPM,
        required=False,
        help_text=_("Empty: the one that is published beside the 8-hour limit."),
    )
    jurisdiction = forms.ChoiceField(label=_("Safety rules of"))
    local_code = column(
        Shop.local_code,
        _("Fire code in force here"),
        max_length=1000,
        help_text=_("Name and edition, and the text of a permit if you have one."),
        widget=forms.Textarea(attrs={"rows": 3}),
    )
    fire_official = column(Shop.fire_official, _("Fire official to ask"))
    sewer_authority = column(Shop.sewer_authority, _("Sewer authority to ask"))
    rinse_water = column(
        Shop.rinse_water,
        _("What it says of rinse water"),
        max_length=1000,
        widget=forms.Textarea(attrs={"rows": 2}),
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        field = self.fields["jurisdiction"]
        assert isinstance(field, forms.ChoiceField)
        field.choices = [(name, name) for name in rule_set_names()]
        rules = rules_of(the_shop())
        self.known_limits = known_limits(rules)
        self.goes_by_example = rules.is_example

    def clean(self) -> dict[str, Any]:
        """The shop may be stricter than its rules, not laxer."""
        cleaned = super().clean() or {}
        own = cleaned.get("vapour_limit_ppm")
        if own is None or "jurisdiction" not in cleaned:
            return cleaned
        by_rule = rules_named(cleaned["jurisdiction"]).limit(AIR_8H)
        if by_rule.value is not None and own > by_rule.value:
            told = _("These rules say %(limit)g ppm at most (%(paragraph)s).") % {
                "limit": by_rule.value,
                "paragraph": by_rule.paragraph,
            }
            self.add_error("vapour_limit_ppm", told)
        short = cleaned.get("vapour_short_limit_ppm")
        if short is not None and short < own:
            self.add_error(
                "vapour_short_limit_ppm",
                _("A 15-minute limit does not lie below the 8-hour limit."),
            )
        return cleaned
