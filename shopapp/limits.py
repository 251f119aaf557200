"""A range that a number can be meant in, and those of the building itself (pure).

Each range stands once, with its unit. Field, action and formula read it here, in
`mixing.limits` or in `jobs.limits`, so that what a form takes the computation takes.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from shopapp.say import Say, say
from shopapp.units import UNITS, System, to_base, to_type


@dataclass(frozen=True, kw_only=True)
class Range:
    """From low to high, both ends in it, in a base unit of `shopapp.units`.

    of  the range that this one is a part of, or is in another unit

    >>> Range(low=0, high=100, unit="pct").holds(100)
    True
    """

    low: float
    high: float
    unit: str = ""
    of: Range | None = field(default=None, compare=False)

    def holds(self, value: float) -> bool:
        """Whether a number lies in it; what is no number lies in none."""
        return self.low <= value <= self.high

    def narrowed(self, *, high: float) -> Range:
        """The same with an upper end that a thing of its own sets."""
        return replace(self, high=min(self.high, high), of=self.of or self)

    def scaled(self, factor: float, unit: str) -> Range:
        """The same in another unit.

        >>> Range(low=100, high=3000, unit="mm").scaled(0.001, "m").high
        3.0
        """
        low, high = self.low * factor, self.high * factor
        return Range(low=low, high=high, unit=unit, of=self.of or self)

    def meant(self, value: float, *, system: System) -> float:
        """The end itself for a number that reads just like it in the shop's unit.

        >>> Range(low=100, high=3000, unit="mm").meant(99.06, system=System.US)
        100
        """
        if not self.holds(value):
            typed = to_type(value, self.unit, system=system)
            for end in (self.low, self.high):
                if typed != "0" and typed == to_type(end, self.unit, system=system):
                    return end
        return value

    def refusal(self, value: float, *, system: System = System.METRIC) -> Say | None:
        """Why a number cannot be meant, or None.

        >>> str(Range(low=1, high=30, unit="days").refusal(31))
        'Enter 1 to 30 days.'
        """
        if self.holds(value):
            return None
        text = "Enter {low} to {high}."
        if self.reads_as_fahrenheit(value, system=system):
            text = "Enter {low} to {high}: was it in °F?"
        low, high = (
            to_type(end, self.unit, system=system) for end in (self.low, self.high)
        )
        known = UNITS[self.unit]
        is_us = system is System.US and known.us_symbol
        symbol = known.us_symbol if is_us else known.symbol
        return say(text, low=low, high=f"{high} {symbol}".rstrip())

    def reads_as_fahrenheit(self, value: float, *, system: System) -> bool:
        """Whether a temperature in °C makes no sense, but does in °F."""
        if self.unit != "degc" or system is System.US or self.holds(value):
            return False
        return self.holds(to_base(value, "degc", system=System.US))


Within = Mapping[str, Range]
"""Ranges by the name of what they hold for, as fields and actions call it."""

ROOM_FOR = Range(low=1, high=200)
"""Cars in one place."""
POSITION = Range(low=0, high=1000)
"""In a list that a person orders."""

VAPOUR_PPM = Range(low=1, high=1000)
"""Half the level at which a tenth of the explosive limit of alcohol is reached."""
SHORT_PPM = Range(low=1, high=2000)
"""Over 15 minutes."""

KEEP_DAYS = Range(low=1, high=60)
"""Nightly backups."""
KEEP_WEEKS = Range(low=0, high=52)
KEEP_MONTHS = Range(low=0, high=120)

SHOP: Within = {"vapour_limit_ppm": VAPOUR_PPM, "vapour_short_limit_ppm": SHORT_PPM}
PLACE: Within = {"room_for": ROOM_FOR, "position": POSITION}
BACKUPS: Within = {
    "keep_days": KEEP_DAYS,
    "keep_weeks": KEEP_WEEKS,
    "keep_months": KEEP_MONTHS,
}
