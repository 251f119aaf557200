"""What an instrument shows, typed in the shop's units; the sentence at the field."""

from __future__ import annotations

from typing import Any

from jobs.condition.gauges import GAUGES, gauge_problem
from shopapp.amounts import Amount
from shopapp.say import Say
from shopapp.units import System


class GaugeField(Amount):
    """A reading of one of `GAUGES`, in the base unit once it is clean."""

    def __init__(self, gauge: str, **kwargs: Any) -> None:
        self.gauge = gauge
        super().__init__(within=GAUGES[gauge].range, **kwargs)

    def problem(self, number: float, *, system: System) -> Say | None:
        """The instrument's own sentence, or None."""
        return gauge_problem(self.gauge, value=number, system=system)
