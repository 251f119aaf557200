"""How long a package really took in this shop (pure)."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from statistics import median

from jobs.opening.hours import Opening
from shopapp.figures import Figure, Range, computed, formula
from shopapp.say import Say, say

NEWEST = 10
"""So many cars are looked at; older ones are another season."""


@dataclass(frozen=True, kw_only=True)
class Laid:
    """First panel ready to last panel laid, of one car; aware, in the shop's zone."""

    number: str
    began_at: datetime
    ended_at: datetime


@formula("hours.took_h")
def took_range_h(*, hours: Sequence[float]) -> Range:
    """Hours that the film work of a package took, first panel ready to last laid.

        the middle one of the newest cars, from the shortest to the longest

    hours  of each car, opening hours only, at least one car
    Not for: cars with a redo, which are left out; waiting within the work counts.
    Source: the shop's own records.

    >>> took_range_h(hours=[7.0, 10.0, 8.5]).value
    8.5
    """
    if not hours:
        raise ValueError("without a car nothing was learned")
    return Range(value=median(hours), low=min(hours), high=max(hours))


def took_h(cars: Iterable[Laid], *, opening: Opening) -> Figure | None:
    """What the newest cars took, newest first; None where nothing can be said."""
    known = [(car.number, opening.open_h(car.began_at, car.ended_at)) for car in cars]
    counted = [(number, hours) for number, hours in known if hours > 0][:NEWEST]
    if not counted:
        return None
    shown = tuple((number, round(hours, 1)) for number, hours in counted)
    hours = [hours for _, hours in counted]
    return computed(took_range_h, "h", None, shown, hours=hours)


def took_said(took: Figure) -> Say:
    """What stands beside the owner's hours."""
    cars = len(took.inputs)
    if cars == 1:
        return say("Your last one took {hours}.", hours=took)
    assert took.low is not None
    assert took.high is not None
    return say(
        "Your last {cars} took {low} to {high}.",
        cars=cars,
        low=f"{took.low:.1f}".removesuffix(".0"),
        high=f"{took.high:.1f}".removesuffix(".0") + " h",
    )
