"""Facts of the week on paper: days by bay and by person."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from django.utils.translation import gettext

from jobs.papers.facts import Json, ShopFacts, shop_facts, to_json
from jobs.papers.plan_facts import PlannedDay, days_from, pieces_on, planned_day
from jobs.plan.planned import ShopPlan
from jobs.plan.shop import Part

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
    week = [
        PlannedDay(day=day, shop=named.shop, plan=plan, names=named.names)
        for day in days_from(first, number=WEEK)
    ]
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
    held = (Part.STAY, Part.PARKED)
    spots = {step.spot for step in plan.steps if step.part in held and step.spot}
    rows = (
        RowFacts(
            name=days[0].names.get(spot, spot) if days else spot,
            cells=tuple(tuple(_stays(day, spot)) for day in days),
        )
        for spot in spots
    )
    return sorted((row for row in rows if any(row.cells)), key=lambda row: row.name)


def _stays(day: PlannedDay, spot: str) -> Iterable[str]:
    held = (Part.STAY, Part.PARKED)
    for step in sorted(day.plan.steps, key=lambda step: step.starts_at):
        if step.part not in held or step.spot != spot or not day.touches(step):
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
    keys = {key for step in plan.steps for key in step.people}
    rows = (
        RowFacts(
            name=days[0].names.get(key, key) if days else key,
            cells=tuple(tuple(_works(day, key)) for day in days),
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
