"""Cure time in the shop and the dates of care after it (pure).

Cure time is elapsed time: it is counted in UTC, so that a change of the clocks
neither shortens nor lengthens it. Care after hand-over is counted in calendar days.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta

from jobs.coverage.catalogue import Package
from jobs.opening.hours import Opening
from shopapp.figures import Figure, computed, formula, given
from shopapp.say import Say, say

HALF_HOUR = timedelta(minutes=30)
DAY_H = 24.0


@dataclass(frozen=True, kw_only=True)
class CureRule:
    """The shop's table by coverage, where the film's maker says nothing.

    small_h       after single panels; 0 to 1 h
    partial_h     after a partial front; 2 h
    overnight_h   after a full front or more: overnight, and at least 12 h
    after_opening_h  overnight is until so long after the next opening; 1 h
    cold_nights   the bay falls below 15 °C at night: a night there takes a day more
    easy_days     easy on fast roads; usually 48 h
    no_wash_days  days without a wash; usually 5 to 7
    no_press_days days without pressing or picking at pockets and edges; usually 14
    recheck_from_days, recheck_until_days  usually 1 to 2 weeks after hand-over
    pockets_days  clear water pockets and haze are watched this long; 1 to 4 weeks
    Source: common practice, no published source.
    """

    small_h: float = 1.0
    partial_h: float = 2.0
    overnight_h: float = 12.0
    after_opening_h: float = 1.0
    cold_nights: bool = False
    easy_days: int = 2
    no_wash_days: int = 7
    no_press_days: int = 14
    recheck_from_days: int = 7
    recheck_until_days: int = 14
    pockets_days: int = 28

    def __post_init__(self) -> None:
        if not 0 <= self.small_h <= self.partial_h <= self.overnight_h:
            raise ValueError("a large job settles at least as long as a small one")
        if self.after_opening_h < 0:
            raise ValueError("the film settles before no opening")
        if not 0 <= self.recheck_from_days <= self.recheck_until_days:
            raise ValueError("the recheck window ends before it begins")


@dataclass(frozen=True, kw_only=True)
class Settling:
    """How long the film of one car settles.

    least            the least elapsed time, h
    after_opening_h  overnight: until so long after the next opening; None by day
    more_days        days that cold nights add
    """

    least: Figure
    after_opening_h: float | None = None
    more_days: int = 0

    @property
    def sentence(self) -> Say:
        """What is said of it before the film is laid."""
        if self.after_opening_h is None:
            return say("{hours} after the last panel", hours=self.least)
        if self.more_days:
            return say("overnight and a day more: the bay is cold at night")
        return say(
            "overnight, until {after} after opening; {hours} at least",
            after=given(self.after_opening_h, "h", "cure table"),
            hours=self.least,
        )


@dataclass(frozen=True, kw_only=True)
class CareDates:
    """What the customer is told, in calendar days of the shop."""

    easy_until: date
    wash_from: date
    no_press_until: date
    recheck_from: date
    recheck_until: date
    pockets_until: date


def is_large_job(package: Package) -> bool:
    """Whether the car stays overnight: a full front or more."""
    return package not in (Package.PARTIAL_FRONT, Package.SINGLE_PANELS)


@formula("cure.cure_h")
def usual_cure_h(*, usual_h: float, cold_h: float) -> float:
    """Least hours that the car stays in the shop after the last panel.

        hours of the coverage in the shop's table, and a day after cold nights

    usual_h  of what was laid, in the shop's table
    cold_h   added after cold nights, 0 or a day; for large jobs only
    Not for: film whose maker states a time; nor hand-over by itself, a final look
    follows.
    Source: common practice, no published source.

    >>> usual_cure_h(usual_h=12.0, cold_h=24.0)
    36.0
    """
    return usual_h + cold_h


def cure_h(*, package: Package, rule: CureRule) -> Figure:
    """Least hours in the shop by its table, as a figure."""
    cold_h = DAY_H if rule.cold_nights and is_large_job(package) else 0.0
    if is_large_job(package):
        usual_h = rule.overnight_h
    elif package is Package.PARTIAL_FRONT:
        usual_h = rule.partial_h
    else:
        usual_h = rule.small_h
    shown = (
        ("package", package.value),
        ("hours", given(usual_h, "h", "cure table")),
        ("cold nights", given(cold_h, "h", "cure table")),
    )
    return computed(usual_cure_h, "h", None, shown, usual_h=usual_h, cold_h=cold_h)


def settling(
    *, package: Package, maker_h: float | None, maker: str, rule: CureRule
) -> Settling:
    """How long film settles: what its maker says, else the shop's table.

    maker_h  hours that the film's maker states, or None
    maker    whose hours these are
    """
    if maker_h is not None:
        return Settling(least=given(maker_h, "h", maker))
    least = cure_h(package=package, rule=rule)
    if not is_large_job(package):
        return Settling(least=least)
    return Settling(
        least=least,
        after_opening_h=rule.after_opening_h,
        more_days=int(rule.cold_nights),
    )


def settled_at(*, laid_at: datetime, settling: Settling, opening: Opening) -> datetime:
    """When the cure time is over, said to the half hour; without one, at once.

    laid_at  moment of the last panel laid or redone, in the shop's zone
    opening  the shop's days and hours: overnight ends after the next opening
    """
    if not settling.least.value and settling.after_opening_h is None:
        return laid_at
    over = ready_from(laid_at=laid_at, hours=settling.least.value)
    if settling.after_opening_h is not None:
        morning = ready_from(
            laid_at=opening.opening_after(laid_at),
            hours=settling.after_opening_h + DAY_H * settling.more_days,
        )
        over = max(over, morning)
    return half_hour_up(over.astimezone(laid_at.tzinfo))


def half_hour_up(moment: datetime) -> datetime:
    """The next full or half hour: no car is ready to the minute."""
    past = timedelta(
        minutes=moment.minute % 30,
        seconds=moment.second,
        microseconds=moment.microsecond,
    )
    if not past:
        return moment
    # In elapsed time: the clocks may change within the half hour.
    up = moment.astimezone(UTC) + (HALF_HOUR - past)
    return up.astimezone(moment.tzinfo)


def where_to_settle(
    *, is_settling: bool, in_a_bay: bool, is_indoors: bool | None
) -> Say | None:
    """What is said of the place of a car whose film settles.

    is_indoors  whether its place has a roof and walls; None where it has no place
    """
    if not is_settling:
        return None
    if in_a_bay:
        return say("It may settle in any place indoors; it needs no bay.")
    if is_indoors is False:
        return say("It stands outdoors. Film settles indoors: move the car in.")
    return None


def ready_from(*, laid_at: datetime, hours: float) -> datetime:
    """The moment the cure time is over, in UTC.

    laid_at  aware time of the last panel laid or redone
    hours    cure time, h, 0 or more
    """
    if laid_at.tzinfo is None:
        raise ValueError("a time without its zone cannot start a cure")
    if hours < 0:
        raise ValueError("a cure time cannot be negative")
    return laid_at.astimezone(UTC) + timedelta(hours=hours)


def care_dates(*, handed_over_on: date, rule: CureRule) -> CareDates:
    """Dates of care, counted from the shop's day of hand-over."""
    return CareDates(
        easy_until=handed_over_on + timedelta(days=rule.easy_days),
        wash_from=handed_over_on + timedelta(days=rule.no_wash_days),
        no_press_until=handed_over_on + timedelta(days=rule.no_press_days),
        recheck_from=handed_over_on + timedelta(days=rule.recheck_from_days),
        recheck_until=handed_over_on + timedelta(days=rule.recheck_until_days),
        pockets_until=handed_over_on + timedelta(days=rule.pockets_days),
    )
