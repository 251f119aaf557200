"""What the shop's instruments can read, and what is said of a number beyond (pure)."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from jobs import limits
from mixing.limits import AIR_C, PANEL_C, RH_PCT
from shopapp.figures import given
from shopapp.limits import Range
from shopapp.say import Say, say
from shopapp.units import System


@dataclass(frozen=True, kw_only=True)
class Gauge:
    """An instrument: what it reads, as a sentence begins with it, and how far."""

    name: str
    range: Range

    @property
    def unit(self) -> str:
        """A unit of `shopapp.units`."""
        return self.range.unit

    @property
    def low(self) -> float:
        """The lower end, which is read."""
        return self.range.low

    @property
    def high(self) -> float:
        """The upper end, which is read."""
        return self.range.high


GAUGES: Mapping[str, Gauge] = {
    "air_c": Gauge(name="Air", range=AIR_C),
    "rh_pct": Gauge(name="Humidity", range=RH_PCT),
    "panel_c": Gauge(name="Panel", range=PANEL_C),
    "thickness_um": Gauge(name="Paint", range=limits.PAINT_UM),
}
"""Hygrometer, infrared thermometer, paint gauge."""


def gauge_problem(
    name: str, *, value: float, system: System = System.METRIC
) -> Say | None:
    """Why a number cannot have been read, or None.

    name    a key of `GAUGES`
    value   in the gauge's base unit
    system  how the shop measures
    When the number makes sense in the other unit, the sentence asks for that.

    >>> gauge_problem("air_c", value=21.5) is None
    True
    >>> gauge_problem("air_c", value=84.0).text
    '{name} of {value} is outside what is read here ({low} to {high}): was it in °F?'
    """
    gauge = GAUGES[name]
    if not math.isfinite(value):
        return say("{name}: that is not a number.", name=gauge.name)
    if gauge.range.holds(value):
        return None
    text = "{name} of {value} is outside what is read here ({low} to {high})."
    if gauge.range.reads_as_fahrenheit(value, system=system):
        text = text[:-1] + ": was it in °F?"
    return say(
        text,
        name=gauge.name,
        value=given(value, gauge.unit, "entered"),
        low=given(gauge.low, gauge.unit, "instrument"),
        high=given(gauge.high, gauge.unit, "instrument"),
    )
