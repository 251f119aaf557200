"""What the shop's instruments can read, and what to say of a number beyond it (pure).

The ranges are those of common hand instruments; they catch a slip of the finger or
another unit, not a bad instrument.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from shopapp.figures import given
from shopapp.say import Say, say
from shopapp.units import System, to_base


@dataclass(frozen=True, kw_only=True)
class Gauge:
    """An instrument's range in the base unit of what it reads.

    name       what is read, as a sentence begins with it
    unit       a unit of `shopapp.units`
    low, high  ends of the range, both read
    """

    name: str
    unit: str
    low: float
    high: float


GAUGES: Mapping[str, Gauge] = {
    "air_c": Gauge(name="Air", unit="degc", low=-20.0, high=60.0),
    "rh_pct": Gauge(name="Humidity", unit="pct", low=1.0, high=100.0),
    "panel_c": Gauge(name="Panel", unit="degc", low=-30.0, high=110.0),
    "thickness_um": Gauge(name="Paint", unit="um", low=0.0, high=5000.0),
}
"""Hygrometer, infrared thermometer, paint gauge.

Common practice, no published source; relative humidity ends at 100 % by definition.
"""


def gauge_problem(name: str, *, value: float) -> Say | None:
    """Why a number cannot have been read, or None.

    name   a key of `GAUGES`
    value  in the gauge's base unit
    When the number makes sense in the other unit, the sentence asks for that.

    >>> gauge_problem("air_c", value=21.5) is None
    True
    >>> gauge_problem("air_c", value=84.0).text
    '{name} of {value} is outside what is read here ({low} to {high}): was it in °F?'
    """
    gauge = GAUGES[name]
    if not math.isfinite(value):
        return say("{name}: that is not a number.", name=gauge.name)
    if gauge.low <= value <= gauge.high:
        return None
    text = "{name} of {value} is outside what is read here ({low} to {high})."
    if gauge.unit == "degc":
        as_fahrenheit = to_base(value, "degc", system=System.US)
        if gauge.low <= as_fahrenheit <= gauge.high:
            text = text[:-1] + ": was it in °F?"
    return say(
        text,
        name=gauge.name,
        value=given(value, gauge.unit, "entered"),
        low=given(gauge.low, gauge.unit, "instrument"),
        high=given(gauge.high, gauge.unit, "instrument"),
    )
