"""Facts of the week on paper: days by bay and by person."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from datetime import date, timedelta

from django.utils.translation import gettext

from jobs.papers.facts import Json, ShopFacts, shop_facts, to_json
from jobs.papers.plan_facts import PlannedDay, pieces_on, planned_day
from jobs.plan.planned import ShopPlan, in_time
from jobs.plan.words import HELD

WEEK = 7


@dataclass(frozen=True, kw_only=True)
class DayFacts:
    """A column. `open_from_to` is empty where the shop is closed."""

    day_on: date
    open_from_to: str


@dataclass(frozen=True, kw_only=True)
class RowFacts:
    """A bay or a person, and for each day its lines."""

    name: str
    cells: tuple[tuple[str, ...], ...]


@dataclass(frozen=True, kw_only=True)
class PlanWeekFacts:
    """The week."""

    shop: ShopFacts
    first_on: date
    days: tuple[DayFacts, ...]
    bays: tuple[RowFacts, ...]
    people: tuple[RowFacts, ...]
    ready: tuple[tuple[str, ...], ...]


def plan_week_facts(plan: ShopPlan, *, first: date) -> Json:
    """Seven days as the plan stands; a closed day on which nothing is, is left out."""
    named = planned_day(first, plan)
    week = [replace(named, day=first + timedelta(days=ahead)) for ahead in range(WEEK)]
    days = [day for day in week if day.hours or any(_ready(day))]
    return to_json(
        PlanWeekFacts(
            shop=shop_facts(named.shop),
            first_on=first,
            days=tuple(DayFacts(day_on=d.day, open_from_to=d.hours) for d in days),
            bays=tuple(_bays(days, plan)),
            people=tuple(_people(days, plan)),
            ready=tuple(tuple(_ready(day)) for day in days),
        )
    )


def _bays(days: list[PlannedDay], plan: ShopPlan) -> Iterable[RowFacts]:
    spots = {step.spot for step in plan.steps if step.part in HELD and step.spot}
    return _rows(spots, days, _stays)


def _stays(day: PlannedDay, spot: str) -> Iterable[str]:
    for step in in_time(day.plan.steps):
        if step.part not in HELD or step.spot != spot or not day.touches(step):
            continue
        begins, ends = day.holds(step.starts_at), day.holds(step.ends_at)
        since = day.clock(step.starts_at) if begins else ""
        until = day.clock(step.ends_at) if ends else ""
        yield _line(day.names.get(step.car, step.car), since, until)


def _line(car: str, since: str, until: str) -> str:
    """ "KTR 4821 from 08:00", "KTR 4821", "KTR 4821 until 12:00"."""
    if since and until:
        return f"{car} {since}–{until}"
    if since:
        return gettext("{car} from {at}").format(car=car, at=since)
    return gettext("{car} until {at}").format(car=car, at=until) if until else car


def _people(days: list[PlannedDay], plan: ShopPlan) -> Iterable[RowFacts]:
    return _rows({key for step in plan.steps for key in step.people}, days, _works)


def _rows(
    keys: set[str],
    days: list[PlannedDay],
    cell: Callable[[PlannedDay, str], Iterable[str]],
) -> Iterable[RowFacts]:
    """A row for each key with what its cells say, by name; an empty one is left out."""
    rows = (
        RowFacts(
            name=days[0].names.get(key, key) if days else key,
            cells=tuple(tuple(cell(day, key)) for day in days),
        )
        for key in keys
    )
    return sorted((row for row in rows if any(row.cells)), key=lambda row: row.name)


def _works(day: PlannedDay, person: str) -> Iterable[str]:
    mine = [step for step in day.plan.steps if person in step.people]
    for piece in pieces_on(day, mine):
        since, until = day.clock(piece.since), day.clock(piece.until)
        car = day.names.get(piece.step.car, piece.step.car)
        yield f"{since}–{until} {car}, {piece.what}"


def _ready(day: PlannedDay) -> Iterable[str]:
    for car in sorted(day.plan.cars, key=lambda car: car.ready_at):
        if day.holds(car.ready_at):
            yield f"{day.names.get(car.car, car.car)} {day.clock(car.ready_at)}"
