"""Amounts typed in the shop's units: base units inside, the sentence at the field."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django import forms
from django.utils.translation import gettext as _

from shopapp.models import the_shop
from shopapp.units import UNITS, System, shown, to_base


class Money(forms.DecimalField):
    """Money, or another exact number with few decimals; a comma is a decimal point."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(**kwargs)
        self.widget = forms.TextInput(
            attrs={"inputmode": "decimal", "autocomplete": "off"}
        )
        self.widget.is_required = self.required

    def to_python(self, value: Any) -> Decimal | None:  # type: ignore[override]
        """The number, whatever the decimal sign."""
        return super().to_python(
            value.replace(",", ".") if isinstance(value, str) else value
        )


class Amount(forms.FloatField):
    """A number in the shop's unit; `clean` gives it in the base unit.

    unit       a key of `shopapp.units.UNITS`
    low, high  in the base unit; what lies outside is refused with both ends named
    """

    def __init__(
        self, *, unit: str, low: float = 0.0, high: float, **kwargs: Any
    ) -> None:
        self.unit, self.low, self.high = unit, low, high
        super().__init__(
            **{"error_messages": {"invalid": _("Enter a number.")}, **kwargs}
        )
        self.widget = forms.TextInput(
            attrs={"inputmode": "decimal", "autocomplete": "off", "size": 8}
        )
        self.widget.is_required = self.required

    @property
    def suffix(self) -> str:
        """The symbol beside the field, in the shop's units."""
        known = UNITS[self.unit]
        in_us = the_shop().system is System.US and known.us_symbol
        return known.us_symbol if in_us else known.symbol

    def prepare_value(self, value: Any) -> Any:
        """A base value as the shop reads it; what was typed stays as it was typed."""
        if isinstance(value, float | int) and not isinstance(value, bool):
            return shown(value, self.unit, system=the_shop().system).number
        return value

    def to_python(self, value: Any) -> float | None:  # type: ignore[override]
        """A comma is a decimal point."""
        return super().to_python(
            value.replace(",", ".") if isinstance(value, str) else value
        )

    def clean(self, value: Any) -> float | None:
        """The number in the base unit, within its ends."""
        typed: float | None = super().clean(value)
        if typed is None:
            return None
        system = the_shop().system
        number = to_base(typed, self.unit, system=system)
        # A rounding of the unit is not a slip of the hand.
        slack = 1e-9 * max(abs(self.high), 1.0)
        if not self.low - slack <= number <= self.high + slack:
            raise forms.ValidationError(
                _("Enter %(low)s to %(high)s."),
                params={
                    "low": shown(self.low, self.unit, system=system).number,
                    "high": shown(self.high, self.unit, system=system),
                },
            )
        return number
