"""What a film's stock says: free, low, how much of it ends on cars (pure)."""

from __future__ import annotations

import re
from collections.abc import Sequence

from shopapp.figures import Figure, computed, formula, given
from shopapp.say import Say, say

NUMBERED = re.compile(r"(\D*)(\d{1,6})")


@formula("film_stock.free_m")
def unheld_m(*, on_rolls_mm: int, held_mm: int) -> float:
    """Film on the rolls that no booking holds.

        free = on rolls - held by bookings, and 0 when more is held

    on_rolls_mm  sum over the rolls, mm, 0 or more
    held_mm      reserved by bookings whose film is not pulled yet, mm, 0 or more
    Not for: off-cuts, and whether one roll is long enough for one car.
    Source: plain subtraction.

    >>> unheld_m(on_rolls_mm=21_200, held_mm=15_000)
    6.2
    """
    return max(0, on_rolls_mm - held_mm) / 1000


def free_m(*, on_rolls_mm: int, held_mm: int) -> Figure:
    """Film on the rolls that no booking holds, as a figure."""
    shown = (
        ("on rolls", given(on_rolls_mm / 1000, "m", "movements")),
        ("held", given(held_mm / 1000, "m", "bookings")),
    )
    return computed(
        unheld_m,
        "m",
        None,
        shown,
        on_rolls_mm=on_rolls_mm,
        held_mm=held_mm,
    )


def film_low(
    *, film: str, free: Figure, ordered_mm: int, reorder_below_mm: int
) -> Say | None:
    """Said when what is free and what is on its way lie below the reorder point."""
    coming = given(ordered_mm / 1000, "m", "ordered")
    if free.value * 1000 + ordered_mm >= reorder_below_mm:
        return None
    return say(
        "{film}: {free} is free and {coming} on order; the reorder point is {point}.",
        film=film,
        free=free,
        coming=coming,
        point=given(reorder_below_mm / 1000, "m", "film"),
    )


def next_roll_code(codes: Sequence[str]) -> str:
    """The code that would come next on the shelf; the first is R1.

    codes  of the rolls there ever were, from old to new

    >>> next_roll_code(["R08", "R09", "N3", "big"]), next_roll_code([])
    ('N4', 'R1')
    """
    found = [match for code in codes if (match := NUMBERED.fullmatch(code))]
    if not found:
        return "R1"
    letters, digits = found[-1].groups()
    same = [match[2] for match in found if match[1] == letters]
    return f"{letters}{max(map(int, same)) + 1:0{len(digits)}d}"


def held_beyond(*, film: str, on_rolls: Figure, held: Figure) -> Say | None:
    """Said when bookings hold more than lies on the rolls."""
    if held.value <= on_rolls.value:
        return None
    return say(
        "{film}: bookings hold {held} and {there} is on the rolls; order {short} or "
        "more.",
        film=film,
        held=held,
        there=on_rolls,
        short=given(held.value - on_rolls.value, "m", "held - on rolls"),
    )


def not_enough_for_day(*, film: str, there: Figure, wanted: Figure) -> Say:
    """Said the afternoon before: the film does not reach the next day's cars."""
    return say(
        "{film}: these cars need {wanted} and {there} is on the rolls; {short} is "
        "missing.",
        film=film,
        wanted=wanted,
        there=there,
        short=given(wanted.value - there.value, "m", "wanted - there"),
    )


@formula("film_stock.yield_pct")
def cut_share_pct(*, blanks_m2: float, taken_m2: float) -> float:
    """Share of the film taken that was cut into panels.

        yield = area of the blanks / area taken x 100

    blanks_m2  pieces cut for panels, m2, 0 or more
    taken_m2   really pulled off rolls, m2, above 0
    Not for: one pull that lay on off-cuts: their film was taken by earlier pulls.
    Source: definition; plain arithmetic.

    >>> cut_share_pct(blanks_m2=6.0, taken_m2=8.0)
    75.0
    """
    if taken_m2 <= 0:
        raise ValueError("no film was taken, so there is no yield")
    return blanks_m2 / taken_m2 * 100


def yield_pct(*, blanks_m2: float, taken_m2: float) -> Figure:
    """Share of the film taken that was cut into panels, as a figure."""
    shown = (
        ("blanks", given(blanks_m2, "m2", "cut lists")),
        ("taken", given(taken_m2, "m2", "movements")),
    )
    return computed(
        cut_share_pct,
        "pct",
        None,
        shown,
        blanks_m2=blanks_m2,
        taken_m2=taken_m2,
    )
