"""What can be promised: minutes of work, then the cure, in opening hours (pure).

Times are aware and carry the shop's zone: work is counted in opening hours of
local days, the cure in elapsed time.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import UTC, datetime, timedelta

from jobs.coverage.catalogue import PanelChoice, laying_min, panels
from jobs.cure.dates import Settling, settled_at
from jobs.opening.hours import Opening
from jobs.package_hours.defaults import PackageTimes
from shopapp.figures import Figure, Range, computed, formula, given
from shopapp.say import Say, say

INTAKE_MIN = 25.0
INSPECTION_MIN = 37.5
LEAVING_MIN = 42.5
"""Intake 20-30, inspection 30-45; final look 15-20 and hand-over 20-30.

Common practice, no published source; middle of each range.
"""

MOST_DAYS = 3660


@formula("promise.work_min")
def work_range_min(
    *, laying: Sequence[Figure], prep_min: float, added_min: float
) -> Range:
    """Minutes of work before the film settles, for one skilled installer.

        intake + prep + laying + inspection + added work

    laying     the panels agreed, each with its minutes by its method; or the
               minutes that the shop gives for the package
    prep_min   prep of the package, min
    added_min  added work, min, 0 or more
    Not for: a bay plan; prep and install overlap, and two people are faster.
    Source: common practice, no published source; middle of each usual range.

    >>> work_range_min(laying=[], prep_min=30, added_min=0).value
    92.5
    """
    if added_min < 0:
        raise ValueError("added work cannot take less than no time")
    fixed = INTAKE_MIN + prep_min + INSPECTION_MIN + added_min
    return Range(
        value=fixed + sum(figure.value for figure in laying),
        low=fixed + sum(figure.low or figure.value for figure in laying),
        high=fixed + sum(figure.high or figure.value for figure in laying),
    )


def work_min(
    choices: Iterable[PanelChoice], *, times: PackageTimes, added_min: float
) -> Figure:
    """Minutes of work before the film settles, as a figure."""
    usual, hours = "common practice", "package hours"
    known = panels()
    laying = [
        laying_min(known[choice.panel], method=choice.method) for choice in choices
    ]
    if times.laying_min is not None:
        laying = [given(times.laying_min, "min", hours)]
    shown = (
        ("intake", given(INTAKE_MIN, "min", usual)),
        ("prep", given(times.prep_min, "min", hours)),
        ("panels", given(sum(f.value for f in laying), "min", usual)),
        ("inspection", given(INSPECTION_MIN, "min", usual)),
        ("added work", given(added_min, "min", "agreed")),
    )
    return computed(
        work_range_min,
        "min",
        None,
        shown,
        laying=laying,
        prep_min=times.prep_min,
        added_min=added_min,
    )


def earliest_hand_over(
    *, arrives_at: datetime, work_min: float, settling: Settling, opening: Opening
) -> datetime:
    """When a car that arrives then can leave, if a bay and a person are free.

        arrival + work in opening hours + cure time + final look

    arrives_at  aware, in the shop's zone
    work_min    minutes before the film settles, 0 or more
    settling    how long the film settles
    opening     the shop's open days and hours
    Not for: a promise by itself; other cars may be in the way.
    Source: common practice, no published source.
    """
    if arrives_at.tzinfo is None:
        raise ValueError("a time without its zone cannot start a plan")
    if work_min < 0:
        raise ValueError("work cannot take less than no time")
    laid = after_work(arrives_at, minutes=work_min, opening=opening)
    settled = settled_at(laid_at=laid, settling=settling, opening=opening)
    return after_work(settled, minutes=LEAVING_MIN, opening=opening)


def after_work(start: datetime, *, minutes: float, opening: Opening) -> datetime:
    """The moment when so many minutes of opening hours have passed.

    start    aware, in the shop's zone
    minutes  0 or more
    """
    zone, left = start.tzinfo, timedelta(minutes=minutes)
    day = start.date()
    for _ in range(MOST_DAYS):
        if hours := opening.hours_on(day):
            opens = datetime.combine(day, hours.opens_at, tzinfo=zone)
            closes = datetime.combine(day, hours.closes_at, tzinfo=zone)
            begin = max(opens, start)
            room = closes.astimezone(UTC) - begin.astimezone(UTC)
            if room >= left and room >= timedelta(0):
                return (begin.astimezone(UTC) + left).astimezone(zone)
            left -= max(room, timedelta(0))
        day += timedelta(days=1)
    raise ValueError("this much work does not fit into ten years")


def at_risk(
    *, promised_at: datetime, settled_at: datetime, is_laid: bool
) -> Say | None:
    """Said before the hour passes when the film cannot have settled by the promise.

    settled_at  when the cure time is over; the earliest moment where film is still
                to be laid
    """
    if settled_at <= promised_at:
        return None
    if is_laid:
        return say(
            "The film settles until {until}, after the promise ({promised}).",
            until=settled_at,
            promised=promised_at,
        )
    return say(
        "The film settles until {until} at the earliest, after the promise "
        "({promised}).",
        until=settled_at,
        promised=promised_at,
    )
