"""Vehicle identification numbers: characters, check digit, model year (pure).

Source: ISO 3779 and 49 CFR 565 (structure, Tables III to V, sample calculation);
NHTSA final rule 73 FR 23367 of 30 April 2008 (position 7 decides the year's cycle).
A VIN is personal data: it is stored upper case without blanks and never logged.
"""

from __future__ import annotations

import string
from dataclasses import dataclass

from shopapp.say import Say, say

LENGTH = 17
ALLOWED = frozenset(string.digits + string.ascii_uppercase) - frozenset("IOQ")
PLACEHOLDER = "0" * LENGTH

_VALUES = {
    **{digit: int(digit) for digit in string.digits},
    **dict(zip("ABCDEFGH", range(1, 9), strict=True)),
    **dict(zip("JKLMN", range(1, 6), strict=True)),
    **{"P": 7, "R": 9},
    **dict(zip("STUVWXYZ", range(2, 10), strict=True)),
}
_WEIGHTS = (8, 7, 6, 5, 4, 3, 2, 10, 0, 9, 8, 7, 6, 5, 4, 3, 2)
_YEAR_CODES = "ABCDEFGHJKLMNPRSTVWXY123456789"
_FIRST_YEAR, _CYCLE_YEARS = 1980, 30
_NORTH_AMERICA = frozenset("12345")


@dataclass(frozen=True, kw_only=True)
class VinCheck:
    """What a typed VIN is worth.

    vin          upper case, without blanks
    problems     why it cannot be saved
    warnings     what is odd; North American ones are saved with a reason
    model_years  years that position 10 may mean; one when position 7 decides,
                 none when position 10 is no year code
    """

    vin: str
    problems: tuple[Say, ...] = ()
    warnings: tuple[Say, ...] = ()
    model_years: tuple[int, ...] = ()

    @property
    def ok(self) -> bool:
        """Whether the form allows saving; warnings do not stand in the way."""
        return not self.problems

    @property
    def is_north_american(self) -> bool:
        """Built there: the check digit and the rule of the year are binding."""
        return self.vin[:1] in _NORTH_AMERICA

    @property
    def asks_reason(self) -> bool:
        """Whether it is saved only with a reason; elsewhere the digit is a filler."""
        return bool(self.warnings) and self.is_north_american


def model_year(check: VinCheck, *, is_light: bool, this_year: int) -> int | None:
    """The model year that a VIN says, or None where it leaves a doubt.

    is_light   a car or light truck of up to 4536 kg: only of these position 7 tells
               the cycle, not of a motorcycle, a coach or a heavy van
    this_year  of the calendar; a model year runs one ahead at most
    Source: NHTSA final rule 73 FR 23367 of 30 April 2008.

    >>> model_year(check_vin("1g4ah59h45g118341"), is_light=True, this_year=2026)
    2005
    >>> model_year(check_vin("WP0ZZZ99ZTS392124"), is_light=True, this_year=2026)
    """
    if not (check.is_north_american and is_light) or check.warnings:
        return None
    years = possible_years(check, this_year=this_year)
    return years[0] if len(check.model_years) == len(years) == 1 else None


def possible_years(check: VinCheck, *, this_year: int) -> tuple[int, ...]:
    """What position 10 may mean, without years that are still to come."""
    return tuple(year for year in check.model_years if year <= this_year + 1)


def check_vin(text: str) -> VinCheck:
    """Check a VIN as it was typed, small letters and blanks allowed.

    text    the VIN as typed
    Wrong length or characters, or 17 zeros, are problems. A check digit that does
    not fit is a warning: it is mandatory only for vehicles sold in the United States
    and Canada. A fitting one is no proof: about one wrong VIN in eleven passes.

    >>> check_vin("1g4ah59h45g118341").model_years
    (2005,)
    >>> check_vin("WP0ZZZ99ZTS392124").ok
    True
    """
    vin = "".join(c.upper() if c.isascii() else c for c in text if not c.isspace())
    if problems := _problems(vin):
        return VinCheck(vin=vin, problems=problems)
    return VinCheck(vin=vin, warnings=_warnings(vin), model_years=_model_years(vin))


def check_digit(*, vin: str) -> str:
    """The check digit that a VIN's other characters ask for.

        remainder of (sum of value x weight) / 11; 10 is written X

    vin     17 allowed characters, upper case
    Not for: a verdict; vehicles sold outside the United States and Canada need none.
    Source: 49 CFR 565, Tables III to V.

    >>> check_digit(vin="1M8GDM9AXKP042788")
    'X'
    """
    if len(vin) != LENGTH or not set(vin) <= ALLOWED:
        raise ValueError("a VIN has 17 digits and letters, without I, O and Q")
    remainder = _weighted_sum(vin) % 11
    return "X" if remainder == 10 else str(remainder)


def _weighted_sum(vin: str) -> int:
    return sum(_VALUES[c] * w for c, w in zip(vin, _WEIGHTS, strict=True))


def _problems(vin: str) -> tuple[Say, ...]:
    problems = []
    if len(vin) != LENGTH:
        problems.append(
            say("A VIN has 17 characters; this one has {count}.", count=len(vin))
        )
    wrong = list(dict.fromkeys(c for c in vin if c not in ALLOWED))
    if confused := [c for c in wrong if c in "IOQ"]:
        problems.append(
            say(
                "A VIN never has the letter {letters}: is it a 1 or a 0?",
                letters=" or ".join(confused),
            )
        )
    if strange := [c for c in wrong if c not in "IOQ"]:
        problems.append(
            say("A VIN never has the sign {signs}.", signs=" or ".join(strange))
        )
    if vin == PLACEHOLDER:
        problems.append(say("Seventeen zeros stand for no car: enter the car's VIN."))
    return tuple(problems)


def _warnings(vin: str) -> tuple[Say, ...]:
    warnings = []
    asked_for = check_digit(vin=vin)
    if vin[8] != asked_for:
        pattern = (
            "The VIN does not fit its check digit: the ninth character should be "
            "{digit}. Cars sold in North America always fit; read it again."
            if vin[0] in _NORTH_AMERICA
            else "The ninth character is not the check digit {digit}. That is usual "
            "for cars sold outside North America; read it again if it is not."
        )
        warnings.append(say(pattern, digit=asked_for))
    if vin[0] in _NORTH_AMERICA and vin[9] not in _YEAR_CODES:
        warnings.append(
            say("The tenth character, {code}, stands for no model year.", code=vin[9])
        )
    return tuple(warnings)


def _model_years(vin: str) -> tuple[int, ...]:
    if vin[9] not in _YEAR_CODES:
        return ()
    early = _FIRST_YEAR + _YEAR_CODES.index(vin[9])
    late = early + _CYCLE_YEARS
    # Position 7 decides only under the North American rule; elsewhere a fitting check
    # digit may be chance, one in eleven.
    if vin[0] in _NORTH_AMERICA:
        return (early,) if vin[6].isdigit() else (late,)
    return (early, late)
