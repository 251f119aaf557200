"""Amounts typed in the shop's units: base units inside, the sentence at the field."""

from __future__ import annotations

import math
import re
from decimal import Decimal
from typing import Any

from django import forms
from django.utils.translation import gettext as _

from shopapp.limits import Range
from shopapp.models import the_shop
from shopapp.say import Say
from shopapp.telling import tell
from shopapp.typed import readings
from shopapp.units import UNITS, System, to_base, to_type


class AsTyped(forms.Field):
    """A number read as people write it; where two readings fit, it is asked about."""

    def fits(self, number: Decimal) -> bool:
        """Whether a reading is possible here. A field says what it knows."""
        return True

    @property
    def beside(self) -> str:
        """The sign that stands beside the field."""
        return ""

    def bare(self, text: str) -> str:
        """What was typed without the sign that stands beside the field anyway."""
        return text.strip().removesuffix(self.beside)

    def to_python(self, value: Any) -> Any:
        """The one number that was meant."""
        if not isinstance(value, str) or not value.strip():
            return super().to_python(value)
        found = readings(self.bare(value))
        fitting = [number for number in found if self.fits(number)] or list(found[:1])
        # Nobody writes "1.2" as "1,200": the thousand that does not fit is asked about.
        if found[1:] == tuple(fitting) and re.search(",[0-9]+0$", value.strip()):
            fitting = list(found)
        if len(fitting) > 1:
            thousands, decimals = fitting
            raise forms.ValidationError(
                _("%(typed)s can mean two numbers: %(thousands)s or %(decimals)s."),
                params={
                    "typed": value.strip(),
                    "thousands": f"{thousands:f}",
                    # With one more digit it reads in one way only.
                    "decimals": f"{decimals:f}0",
                },
            )
        return super().to_python(f"{fitting[0]:f}" if fitting else value)


def plain_end(end: float) -> int | Decimal:
    """An end of a range, exact, without a decimal point that nobody typed."""
    return int(end) if end == int(end) else Decimal(repr(end))


def with_ends(
    within: Range | None, kwargs: dict[str, Any], *, told: bool = True
) -> dict[str, Any]:
    """The ends of a range as Django's own number fields call them.

    told  both ends are named; nobody cares for the upper end of money
    """
    if within is None:
        return kwargs
    low, high = (plain_end(end) for end in (within.low, within.high))
    said = _("Enter %(low)s to %(high)s.") % {"low": str(low), "high": str(high)}
    known = {"min_value": said, "max_value": said} if told else {}
    return {
        **kwargs,
        "min_value": low,
        "max_value": high,
        "error_messages": {**known, **kwargs.get("error_messages", {})},
    }


class Number(AsTyped, forms.FloatField):
    """A number in the unit beside it."""

    def __init__(self, *, within: Range | None = None, **kwargs: Any) -> None:
        self.range = within
        super().__init__(**with_ends(within, kwargs))

    def fits(self, number: Decimal) -> bool:
        """Within its ends."""
        return within(number, self.min_value, self.max_value)


class Whole(AsTyped, forms.IntegerField):
    """A whole number; "12,450" is one."""

    def __init__(self, *, within: Range | None = None, **kwargs: Any) -> None:
        self.range = within
        text = forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off"})
        super().__init__(**{"widget": text, **with_ends(within, kwargs)})

    def fits(self, number: Decimal) -> bool:
        """Whole, and within its ends."""
        return number == number.to_integral_value() and within(
            number, self.min_value, self.max_value
        )


def within(number: Decimal, low: Any, high: Any) -> bool:
    """Whether a number lies between two ends, either of which may be absent."""
    return (low is None or number >= low) and (high is None or number <= high)


class Money(AsTyped, forms.DecimalField):
    """Money, or another exact number with few decimals."""

    def __init__(self, *, within: Range | None = None, **kwargs: Any) -> None:
        self.range = within
        super().__init__(**with_ends(within, kwargs, told=False))
        self.widget = forms.TextInput(
            attrs={"inputmode": "decimal", "autocomplete": "off"}
        )
        self.widget.is_required = self.required

    def fits(self, number: Decimal) -> bool:
        """Not finer than it may be, and within its ends."""
        digits = -int(number.as_tuple().exponent)
        return digits <= (self.decimal_places or 0) and within(
            number, self.min_value, self.max_value
        )


class CostPer(Money):
    """Money for a square metre or metre, in a US shop for a square foot or foot.

    unit  "m2" or "m"; `clean` gives the amount for one of it
    """

    def __init__(self, *, unit: str, label: Any, us_label: Any, **kwargs: Any) -> None:
        self.unit, self.labels = unit, {System.METRIC: label, System.US: us_label}
        super().__init__(**kwargs)

    @property
    def label(self) -> Any:
        """What the number is for."""
        return self.labels[the_shop().system]

    @label.setter
    def label(self, value: Any) -> None:
        """Given at the beginning, once for each way of measuring."""

    @property
    def units_each(self) -> Decimal:
        """How many of the typed unit make one of the base unit."""
        is_us = the_shop().system is System.US
        return Decimal(UNITS[self.unit].us_per_base) if is_us else Decimal(1)

    def prepare_value(self, value: Any) -> Any:
        """The price of what the label names; what was typed stays."""
        if isinstance(value, Decimal):
            return round(value / self.units_each, self.decimal_places or 0)
        return value

    def clean(self, value: Any) -> Decimal | None:
        """The price of the base unit."""
        typed: Decimal | None = super().clean(value)
        if typed is None:
            return None
        each = round(typed * self.units_each, self.decimal_places or 0)
        if self.range is not None and not self.range.holds(float(each)):
            most = f"{Decimal(repr(self.range.high)) / self.units_each:.0f}"
            raise forms.ValidationError(
                _("Enter 0 to %(high)s."), params={"high": most}
            )
        return each


class Amount(AsTyped, forms.FloatField):
    """A number in the shop's unit; `clean` gives it in the base unit.

    within  where it can be meant; what lies outside is refused with both ends named
    """

    def __init__(
        self,
        *,
        within: Range | None = None,
        unit: str = "",
        low: float = 0.0,
        high: float = math.inf,
        **kwargs: Any,
    ) -> None:
        self.range = within or Range(unit=unit, low=low, high=high)
        super().__init__(
            **{"error_messages": {"invalid": _("Enter a number.")}, **kwargs}
        )
        self.widget = forms.TextInput(
            attrs={"inputmode": "decimal", "autocomplete": "off", "size": 8}
        )
        self.widget.is_required = self.required

    @property
    def unit(self) -> str:
        """A key of `shopapp.units.UNITS`."""
        return self.range.unit

    @property
    def beside(self) -> str:
        """Its unit, as "50 ft"."""
        return self.suffix

    @property
    def suffix(self) -> str:
        """The symbol beside the field, in the shop's units."""
        known = UNITS[self.unit]
        in_us = the_shop().system is System.US and known.us_symbol
        return known.us_symbol if in_us else known.symbol

    def prepare_value(self, value: Any) -> Any:
        """A base value as the shop reads it; what was typed stays as it was typed."""
        if isinstance(value, float | int) and not isinstance(value, bool):
            return to_type(value, self.unit, system=the_shop().system)
        return value

    def fits(self, number: Decimal) -> bool:
        """Within its ends, in the shop's unit."""
        return self.range.holds(self.base(float(number), system=the_shop().system))

    def base(self, typed: float, *, system: System) -> float:
        """What was typed in the base unit; an end where it reads like one."""
        return self.range.meant(to_base(typed, self.unit, system=system), system=system)

    def clean(self, value: Any) -> float | None:
        """The number in the base unit, within its ends."""
        typed: float | None = super().clean(value)
        if typed is None:
            return None
        system = the_shop().system
        number = self.base(typed, system=system)
        if problem := self.problem(number, system=system):
            raise forms.ValidationError(tell(problem, system=system))
        return number

    def problem(self, number: float, *, system: System) -> Say | None:
        """Why the number cannot be meant, or None."""
        return self.range.refusal(number, system=system)
