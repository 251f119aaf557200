"""Dispensers: what can be read on one, and the range that reading allows (pure).

A jug and a syringe are read on a scale, a pump and a dropper are counted. Drops are
a measure only from a dropper that the shop calibrated itself.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum
from functools import cached_property

from shopapp.figures import formula
from shopapp.units import ML_PER_US_FL_OZ


class Substance(StrEnum):
    """What is poured into a vessel."""

    WATER = "water"
    ALCOHOL = "alcohol"
    SOAP = "soap"
    GEL = "gel"


class DispenserKind(StrEnum):
    """How a dispenser measures."""

    SYRINGE = "syringe"
    JUG = "jug"
    PUMP = "pump"
    DROPPER = "dropper"


COUNTED = frozenset({DispenserKind.PUMP, DispenserKind.DROPPER})

# A syringe that has drawn soap must not go into the alcohol: soap in the tack bottle
# ruins it. A shop that keeps one for each says so in `Dispenser.substances`.
USUAL_SUBSTANCES = {
    DispenserKind.JUG: (Substance.WATER, Substance.ALCOHOL, Substance.GEL),
    DispenserKind.SYRINGE: (Substance.SOAP,),
    DispenserKind.PUMP: (Substance.SOAP,),
    DispenserKind.DROPPER: (Substance.SOAP,),
}

MOST_FILLS = 6
"""More fills of one dispenser than this invite a miscount."""

_GRID_SLACK = 1e-9


@dataclass(frozen=True, kw_only=True)
class Dispenser:
    """Something that measures a liquid.

    name           what the shop calls it
    kind           syringe and jug are read on a scale, pump and dropper counted
    graduation_ml  mL between two marks, or of one stroke or one drop
    error_ml       mL that one fill, stroke or drop may be off by itself
    capacity_ml    mL of one fill (of no meaning for a counted one)
    substances     what it is kept for; empty: what its kind is usually used for
    calibrated     the shop has measured its stroke or drop (a dropper needs it)

    Raises ValueError for sizes that cannot be.
    """

    name: str
    kind: DispenserKind
    graduation_ml: float
    error_ml: float = 0.0
    capacity_ml: float = math.inf
    substances: tuple[Substance, ...] = ()
    calibrated: bool = False

    def __post_init__(self) -> None:
        if not 0 < self.graduation_ml < math.inf:
            raise ValueError(
                f"The graduation of {self.name} must be above zero: "
                "read the step between two marks."
            )
        if not 0 <= self.error_ml < math.inf:
            raise ValueError(f"The error of {self.name} cannot be below zero.")
        if self.capacity_ml < self.graduation_ml * (1 - _GRID_SLACK):
            raise ValueError(
                f"{self.name} must hold at least one graduation of "
                f"{self.graduation_ml:g} mL."
            )

    @cached_property
    def is_counted(self) -> bool:
        """A pump and a dropper are counted, not read."""
        return self.kind in COUNTED

    @cached_property
    def measures(self) -> bool:
        """Drops of unknown size measure nothing."""
        return self.kind is not DispenserKind.DROPPER or self.calibrated

    def takes(self, substance: Substance) -> bool:
        """Is this dispenser used for the substance?"""
        return substance in (self.substances or USUAL_SUBSTANCES.get(self.kind, ()))


@dataclass(frozen=True, kw_only=True)
class Dose:
    """A pour as it can really be made with one dispenser.

    target_ml      what the recipe asks for, mL
    amount_ml      the nearest amount that can be read or counted, mL
    low, high_ml   what is in the vessel after a pour of `amount_ml`, mL
    capped         the container held less than the nearest graduation
    fills          fills of a jug or syringe, strokes of a pump, drops of a dropper
    adequate       the whole range lies within the tolerance round the target
    """

    target_ml: float
    amount_ml: float
    low_ml: float
    high_ml: float
    fills: int
    adequate: bool
    dispenser: Dispenser
    capped: bool = False


@formula("dosing.readable_ml")
def readable_ml(*, target_ml: float, graduation_ml: float) -> float:
    """Nearest amount that can be read on a scale or counted in whole strokes.

        amount = round(target / graduation) * graduation

    target_ml      wanted, mL, 0 or more
    graduation_ml  step between two marks, mL, above 0

    Not for:    reading between two marks by eye.
    Source:     definition of rounding to a graduation (halves go up).

    >>> readable_ml(target_ml=1.93, graduation_ml=0.2)
    2.0
    """
    _check_volume(target_ml, graduation_ml)
    steps = math.floor(target_ml / graduation_ml + 0.5 + _GRID_SLACK)
    return _clean(steps * graduation_ml)


def unit_of_marks(graduation_ml: float) -> str:
    """The unit in which what is poured is told: that of the dispenser's marks.

    graduation_ml  step between two marks, mL
    A step of whole eighths of a US fluid ounce is marked in ounces, any other in mL.
    Source: 1 US fl oz = 29.5735 mL, NIST Handbook 44 (2024) appendix C.

    >>> unit_of_marks(10), unit_of_marks(29.57), unit_of_marks(0.2)
    ('jug_ml', 'ml', 'dose_ml')
    """
    if graduation_ml < 1:
        return "dose_ml"
    eighths = graduation_ml / ML_PER_US_FL_OZ * 8
    is_in_ounces = round(eighths) >= 1 and abs(eighths - round(eighths)) < 0.01
    return "ml" if is_in_ounces else "jug_ml"


@formula("dosing.readable_below_ml")
def readable_below_ml(*, available_ml: float, graduation_ml: float) -> float:
    """Most that can be read of what is left in a container.

        amount = floor(available / graduation) * graduation

    available_ml   left in the container, mL, 0 or more
    graduation_ml  step between two marks, mL, above 0

    Not for:    a container that holds more than is wanted.
    Source:     definition of rounding down to a graduation.

    >>> readable_below_ml(available_ml=236, graduation_ml=10)
    230
    """
    _check_volume(available_ml, graduation_ml)
    steps = math.floor(available_ml / graduation_ml + _GRID_SLACK)
    return _clean(steps * graduation_ml)


@formula("dosing.spread_ml")
def spread_ml(
    *, amount_ml: float, graduation_ml: float, error_ml: float, capacity_ml: float
) -> float:
    """How far a pour read on a scale may be off, either way.

        spread = fills * (graduation / 2 + error);  fills = ceil(amount / capacity)

    amount_ml      poured, mL, 0 or more
    graduation_ml  step between two marks, mL, above 0
    error_ml       what the scale itself may be off for one fill, mL, 0 or more
    capacity_ml    mL of one fill, above 0

    Not for:    counted strokes or drops, see `counted_spread_ml`.
    Source:     worst case of independent limits, each fill read to half a
                graduation (usual convention for a scale read by eye; from memory).

    >>> spread_ml(amount_ml=720, graduation_ml=10, error_ml=5, capacity_ml=1000)
    10.0
    """
    fills = _fills(amount_ml, capacity_ml)
    return fills * (graduation_ml / 2 + error_ml)


@formula("dosing.counted_spread_ml")
def counted_spread_ml(*, count: int, graduation_ml: float, error_ml: float) -> float:
    """How far a counted dose may be off, either way.

        spread = count * error + graduation / 2

    count          strokes or drops, 0 or more
    graduation_ml  mL of one stroke or drop, above 0
    error_ml       what one stroke or drop may be off, mL, 0 or more

    Not for:    a dropper that the shop has not calibrated.
    Source:     worst case; half a stroke for one that was not complete (our choice).

    >>> round(counted_spread_ml(count=6, graduation_ml=0.33, error_ml=0.02), 3)
    0.285
    """
    return count * error_ml + graduation_ml / 2


@formula("dosing.drop_ml")
def drop_ml(*, volume_ml: float, drops: int) -> float:
    """Size of one drop of a dropper, counted to a mark.

        drop = volume / drops

    volume_ml  filled to the mark, mL, above 0
    drops      drops counted, 1 or more

    Not for:    another liquid or another dropper: drop mass goes with surface
                tension (Tate's law).
    Source:     definition; USP 32 chapter 1101 holds a medicine dropper to 45 to
                55 mg of water a drop, a soap bottle's drop is about seven times that
                (common practice, no published source).

    >>> round(drop_ml(volume_ml=2, drops=6), 3)
    0.333
    """
    if volume_ml <= 0 or drops < 1:
        raise ValueError("Count at least one drop into a volume above zero.")
    return volume_ml / drops


def dose(
    *,
    target_ml: float,
    dispenser: Dispenser,
    tolerance_pct: float,
    most_ml: float = math.inf,
) -> Dose:
    """The pour that comes nearest to a target with one dispenser.

    target_ml      wanted, mL, above 0
    dispenser      a dropper must be calibrated
    tolerance_pct  how far from the target the amount may be, % of it, above 0
    most_ml        what is left in the container, mL: never poured more

    Raises ValueError for a target of zero or less and for an uncalibrated dropper.
    """
    if not 0 < target_ml < math.inf:
        raise ValueError("Give a volume above zero.")
    if not dispenser.measures:
        raise ValueError(
            f"{dispenser.name} has no known drop size: count its drops to a mark, "
            "or use a syringe."
        )
    amount, capped = _amount(target_ml, most_ml, dispenser.graduation_ml)
    spread, fills = _spread_and_fills(amount, dispenser)
    low, high = max(0.0, amount - spread), amount + spread
    worst = max(target_ml - low, high - target_ml)
    return Dose(
        target_ml=target_ml,
        amount_ml=amount,
        low_ml=low,
        high_ml=high,
        fills=fills,
        adequate=amount > 0 and worst <= target_ml * tolerance_pct / 100 + _GRID_SLACK,
        dispenser=dispenser,
        capped=capped,
    )


def best_dose(
    *,
    target_ml: float,
    dispensers: Iterable[Dispenser],
    tolerance_pct: float,
    most_ml: float = math.inf,
) -> Dose | None:
    """The dose of the dispenser that suits best, or None when none measures.

    Within tolerance before outside it, then few fills, then the narrowest range.

    target_ml      wanted, mL, above 0
    tolerance_pct  % of the target, above 0
    most_ml        what is left in the container, mL
    """
    measuring = [each for each in dispensers if each.measures]
    if len(measuring) > 1:
        # One pass on bare numbers: a sheet asks this for each of its pours.
        within = target_ml * tolerance_pct / 100 + _GRID_SLACK
        measuring.sort(key=lambda each: _suits(target_ml, most_ml, within, each))
    if not measuring:
        return None
    return dose(
        target_ml=target_ml,
        dispenser=measuring[0],
        tolerance_pct=tolerance_pct,
        most_ml=most_ml,
    )


@formula("dosing.coarsest_graduation_ml")
def coarsest_graduation_ml(*, target_ml: float, tolerance_pct: float) -> float:
    """The coarsest graduation that could keep one fill within a tolerance.

        graduation = target * tolerance / 100

    target_ml      wanted, mL, above 0
    tolerance_pct  % of the target, above 0

    Not for:    a dispenser with an error of its own: it needs a finer one.
    Source:     half a graduation of rounding and half a graduation of reading.

    >>> coarsest_graduation_ml(target_ml=2, tolerance_pct=15)
    0.3
    """
    return target_ml * tolerance_pct / 100


def _suits(
    target_ml: float, most_ml: float, within_ml: float, dispenser: Dispenser
) -> tuple[bool, bool, bool, int, float]:
    """Sorts dispensers for one pour, the one that suits best first."""
    amount, _ = _amount(target_ml, most_ml, dispenser.graduation_ml)
    spread, fills = _spread_and_fills(amount, dispenser)
    off = abs(target_ml - amount) + spread
    counted = dispenser.is_counted
    readings = 1 if counted else fills
    adequate = amount > 0 and off <= within_ml
    return not adequate, readings > MOST_FILLS, counted, readings, spread


def _amount(target_ml: float, most_ml: float, step_ml: float) -> tuple[float, bool]:
    """What can be read next to a target, and whether the container limits it."""
    amount = _clean(math.floor(target_ml / step_ml + 0.5 + _GRID_SLACK) * step_ml)
    if amount <= most_ml:
        return amount, False
    return _clean(math.floor(most_ml / step_ml + _GRID_SLACK) * step_ml), True


def _spread_and_fills(amount_ml: float, dispenser: Dispenser) -> tuple[float, int]:
    step, error = dispenser.graduation_ml, dispenser.error_ml
    if dispenser.is_counted:
        count = round(amount_ml / step)
        spread = counted_spread_ml(count=count, graduation_ml=step, error_ml=error)
        return spread, count
    fills = _fills(amount_ml, dispenser.capacity_ml)
    return fills * (step / 2 + error), fills


def _fills(amount_ml: float, capacity_ml: float) -> int:
    return max(1, math.ceil(amount_ml / capacity_ml - _GRID_SLACK))


def _clean(amount_ml: float) -> float:
    # 14 * 0.2 is 2.8000000000000003; a reading is never finer than a microlitre.
    return round(amount_ml, 6)


def _check_volume(target_ml: float, graduation_ml: float) -> None:
    if not 0 <= target_ml < math.inf or not 0 < graduation_ml < math.inf:
        raise ValueError("Volumes cannot be below zero, graduations must be above it.")
