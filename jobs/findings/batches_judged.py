"""Was it in the bottle? Each batch that touched a panel, the worst first (pure)."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from shopapp.figures import given
from shopapp.say import Say, say

OFF_SHARE = 0.10
"""A strength this far from what the sheet asked for is called weak or strong; ours."""


@dataclass(frozen=True, kw_only=True)
class Held:
    """What one batch held of soap or alcohol, and what its sheet asked for.

    name   the kind of solution in words
    batch  its number; "" where only the solution is known
    was    soap in mL per L, or alcohol in % by volume
    asked  the same of the sheet it was mixed by, or None
    """

    name: str
    batch: str
    was: float
    asked: float | None


def judged(
    batches: Iterable[Held], *, of: str, unit: str, strong: bool
) -> tuple[bool, Say, *tuple[Say, ...]] | None:
    """Whether any batch was off by more than `OFF_SHARE`, and a sentence for each.

        off = (was - asked) / asked

    of      "soap" or "alcohol"
    unit    mL per L of soap, % v/v of alcohol
    strong  whether too much is asked about, else too little
    The batch that is furthest off stands first. None where no batch was asked for
    anything: then the record is silent.
    Source: ours.

    >>> weak = Held(name="slip", batch="B-1", was=1.0, asked=2.0)
    >>> right = Held(name="slip", batch="B-2", was=2.0, asked=2.0)
    >>> judged([right, weak], of="soap", unit="ml_per_l", strong=False)[0]
    True
    """
    known = list(batches)
    worst_first = sorted(
        (held for held in known if held.asked),
        key=lambda held: -_off(held, strong=strong),
    )
    if not worst_first:
        return None
    points = _off(worst_first[0], strong=strong) > OFF_SHARE
    named = len(known) > 1
    first, *others = (_told(h, of=of, unit=unit, named=named) for h in worst_first)
    return points, first, *others


def worst(batches: Iterable[Held]) -> Held | None:
    """The batch furthest from what was asked, either way; else the first."""
    known = list(batches)
    return max(known, key=lambda held: abs(_off(held, strong=True)), default=None)


def _off(held: Held, *, strong: bool) -> float:
    if not held.asked:
        return 0.0
    off = (held.was - held.asked) / held.asked
    return off if strong else -off


def unnamed(name: str, *, was: float | None, asked: float | None) -> tuple[Held, ...]:
    """A solution of which no batch is known, for `judged`; nothing where unrecorded."""
    return () if was is None else (Held(name=name, batch="", was=was, asked=asked),)


def _told(held: Held, *, of: str, unit: str, named: bool) -> Say:
    assert held.asked is not None
    which = held.name.capitalize()
    return say(
        "{which} held {was} of {of}; the sheet asked for {asked}.",
        which=f"{which} {held.batch}" if named and held.batch else which,
        was=given(held.was, unit, "record"),
        of=of,
        asked=given(held.asked, unit, "record"),
    )
