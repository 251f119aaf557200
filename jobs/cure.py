"""Cure time in the shop and the dates of care after it (pure).

Cure time is elapsed time: it is counted in UTC, so that a change of the clocks
neither shortens nor lengthens it. Care after hand-over is counted in calendar days.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta

from jobs.coverage import Package
from shopapp.figures import Figure, given
from shopapp.say import Say, say

COLD_C = 18.0
"""Below this the car stays longer.

Common practice, no published source.
"""


@dataclass(frozen=True, kw_only=True)
class CureRule:
    """How long film settles, as the shop or the film's maker states it.

    small_h       after a partial front or single panels; usually 2 to 4 h
    large_h       after a full front or more: overnight
    cold_factor   longer by this factor below 18 °C; our estimate
    easy_days     easy on fast roads; usually 48 h
    no_wash_days  days without a wash; usually 5 to 7
    no_press_days days without pressing or picking at pockets and edges; usually 14
    recheck_from_days, recheck_until_days  usually 1 to 2 weeks after hand-over
    pockets_days  clear water pockets and haze are watched this long; 1 to 4 weeks
    Source: common practice, no published source; the factor is ours.
    """

    small_h: float = 4.0
    large_h: float = 16.0
    cold_factor: float = 1.5
    easy_days: int = 2
    no_wash_days: int = 7
    no_press_days: int = 14
    recheck_from_days: int = 7
    recheck_until_days: int = 14
    pockets_days: int = 28

    def __post_init__(self) -> None:
        if self.small_h < 0 or self.large_h < self.small_h:
            raise ValueError("a large job settles at least as long as a small one")
        if self.cold_factor < 1:
            raise ValueError("the cold never shortens the cure time")
        if not 0 <= self.recheck_from_days <= self.recheck_until_days:
            raise ValueError("the recheck window ends before it begins")


@dataclass(frozen=True, kw_only=True)
class CareDates:
    """What the customer is told, in calendar days of the shop."""

    easy_until: date
    wash_from: date
    no_press_until: date
    recheck_from: date
    recheck_until: date
    pockets_until: date


@dataclass(frozen=True, kw_only=True)
class Countdown:
    """Time left, in whole minutes rounded up; all zero when it is over."""

    hours: int
    minutes: int

    @property
    def is_over(self) -> bool:
        return self.hours == 0 and self.minutes == 0


def is_large_job(package: Package) -> bool:
    """Whether the car stays overnight: a full front or more."""
    return package not in (Package.PARTIAL_FRONT, Package.SINGLE_PANELS)


def cure_h(*, package: Package, coldest_c: float | None, rule: CureRule) -> Figure:
    """Hours that the car stays in the shop after the last panel.

        hours of a small or a large job x cold factor below 18 °C

    package    what was laid
    coldest_c  coldest air expected or read while it settles, °C, or None
    rule       the shop's or the film maker's hours
    Not for: hand-over by itself; a final look follows.
    Source: common practice, no published source (hours); the cold factor is ours.

    >>> cure_h(package=Package.FULL_FRONT, coldest_c=21.0, rule=CureRule()).value
    16.0
    """
    usual_h = rule.large_h if is_large_job(package) else rule.small_h
    is_cold = coldest_c is not None and coldest_c < COLD_C
    factor = rule.cold_factor if is_cold else 1.0
    return Figure(
        value=usual_h * factor,
        unit="h",
        made_by="jobs.cure.cure_h",
        inputs=(
            ("package", package.value),
            ("usual hours", given(usual_h, "h", "cure rule")),
            (
                "coldest air",
                None if coldest_c is None else given(coldest_c, "degc", "bay"),
            ),
            ("cold factor", factor),
        ),
    )


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


def countdown(*, until: datetime, now: datetime) -> Countdown:
    """Time left until a moment, both aware.

    >>> end = datetime(2026, 3, 2, 12, tzinfo=UTC)
    >>> countdown(until=end, now=end - timedelta(minutes=90))
    Countdown(hours=1, minutes=30)
    """
    left = until.astimezone(UTC) - now.astimezone(UTC)
    minutes = max(0, -(-left // timedelta(minutes=1)))
    return Countdown(hours=minutes // 60, minutes=minutes % 60)


def cure_sentence(*, until: datetime, now: datetime) -> Say:
    """Where the cure stands, for board and customer."""
    left = countdown(until=until, now=now)
    if left.is_over:
        return say("The film has settled; the final look is next.")
    if left.hours:
        return say(
            "The film settles for another {hours} h {minutes} min, until {until}.",
            hours=left.hours,
            minutes=left.minutes,
            until=until,
        )
    return say(
        "The film settles for another {minutes} min, until {until}.",
        minutes=left.minutes,
        until=until,
    )
