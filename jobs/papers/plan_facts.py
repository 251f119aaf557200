"""What the day sheet and the week read of the plan as it stands."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date, datetime

from jobs.opening.queries import opening_of
from jobs.plan.name_queries import names_of
from jobs.plan.planned import ShopPlan, Step, in_time
from jobs.plan.queries import plan_of, published, standing
from jobs.plan.words import NOBODY_S, PART_WORDS
from shopapp.models import Shop, shop_day, the_shop


def shown_plan() -> ShopPlan | None:
    """The plan as it stands, else the published one."""
    row = standing() or published()
    return plan_of(row) if row else None


@dataclass(frozen=True, kw_only=True)
class PlannedDay:
    """A day of the shop, and the plan cut to it."""

    day: date
    shop: Shop
    plan: ShopPlan
    names: dict[str, str]

    @property
    def hours(self) -> str:
        """The opening hours, in words."""
        hours = opening_of(self.shop).hours_on(self.day)
        if hours is None:
            return ""
        return f"{hours.opens_at:%H:%M}–{hours.closes_at:%H:%M}"

    def holds(self, moment: datetime) -> bool:
        """Whether a moment lies on this day."""
        begins, ends = shop_day(self.day, zone=self.shop.zone)
        return begins <= moment < ends

    def touches(self, step: Step) -> bool:
        """Whether some of a step lies on this day."""
        begins, ends = shop_day(self.day, zone=self.shop.zone)
        return step.starts_at < ends and step.ends_at > begins

    def clock(self, moment: datetime) -> str:
        """The time of day, "08:30"."""
        return f"{moment.astimezone(self.shop.zone):%H:%M}"

    def people(self, step: Step) -> str:
        """Who does it."""
        return ", ".join(self.names.get(key, key) for key in step.people)

    def spot(self, step: Step) -> str:
        """Where it is done."""
        return self.names.get(self.plan.spot_of(step), "")

    def pieces(self, step: Step) -> Iterator[tuple[datetime, datetime]]:
        """What of a step lies in the opening hours of this day."""
        if not self.touches(step):
            return
        day_begins, day_ends = shop_day(self.day, zone=self.shop.zone)
        begins = max(step.starts_at, day_begins).astimezone(self.shop.zone)
        ends = min(step.ends_at, day_ends).astimezone(self.shop.zone)
        for since, until in opening_of(self.shop).pieces(begins, ends):
            if self.holds(since):
                yield since, until


@dataclass(frozen=True, kw_only=True)
class Piece:
    """A stretch of one work on one day; pieces that follow each other are one."""

    step: Step
    since: datetime
    until: datetime

    @property
    def hours(self) -> float:
        """How long it takes."""
        return (self.until - self.since).total_seconds() / 3600

    @property
    def what(self) -> str:
        """The work, in a word."""
        return PART_WORDS[self.step.part]


def pieces_on(day: PlannedDay, steps: Iterable[Step]) -> list[Piece]:
    """The work of people among these steps, in the order of time."""
    found: list[Piece] = []
    for step in in_time(steps):
        if step.part in NOBODY_S:
            continue
        for since, until in day.pieces(step):
            last = found[-1] if found else None
            if last and last.until == since and last.step.alike == step.alike:
                since, _ = last.since, found.pop()
            found.append(Piece(step=step, since=since, until=until))
    return found


def planned_day(day: date, plan: ShopPlan) -> PlannedDay:
    """A day of the plan with the names of what it holds."""
    return PlannedDay(day=day, shop=the_shop(), plan=plan, names=names_of(plan))
