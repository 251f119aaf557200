"""What an instrument shows, typed in the shop's units; the sentence at the field."""

from __future__ import annotations

from typing import Any

from django import forms

from jobs.gauges import GAUGES, gauge_problem
from shopapp.amounts import Amount
from shopapp.models import the_shop
from shopapp.telling import tell
from shopapp.units import to_base


class GaugeField(Amount):
    """A reading of one of `jobs.gauges.GAUGES`, in the base unit once it is clean."""

    def __init__(self, gauge: str, **kwargs: Any) -> None:
        self.gauge = gauge
        known = GAUGES[gauge]
        super().__init__(unit=known.unit, low=known.low, high=known.high, **kwargs)

    def clean(self, value: Any) -> float | None:
        """The number, or the instrument's own sentence."""
        typed = forms.FloatField.clean(self, value)
        if typed is None:
            return None
        system = the_shop().system
        number = to_base(typed, self.unit, system=system)
        if problem := gauge_problem(self.gauge, value=number):
            raise forms.ValidationError(tell(problem, system=system))
        return number
