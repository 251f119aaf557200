"""What one plan changes beside another (pure). Sentences hold keys, never names."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import datetime

from jobs.plan.planned import Move, ShopPlan, Step
from jobs.plan.shop import Part
from shopapp.say import Say, say


@dataclass(frozen=True, kw_only=True)
class FilmWork:
    """The film work of one car: when it begins, in which bay, by whom."""

    starts_at: datetime
    bay: str
    people: tuple[str, ...]


def film_works(plan: ShopPlan) -> dict[str, FilmWork]:
    """The film work of each car that still has some."""
    by_car: dict[str, list[Step]] = defaultdict(list)
    for step in plan.steps:
        by_car[step.car].append(step)
    found = {}
    for car, steps in by_car.items():
        laid = sorted(
            (step for step in steps if step.part is Part.INSTALL),
            key=lambda step: step.starts_at,
        )
        if laid:
            stays = [step.spot for step in steps if step.part is Part.STAY]
            people = dict.fromkeys(key for step in laid for key in step.people)
            found[car] = FilmWork(
                starts_at=laid[0].starts_at,
                bay=laid[0].spot or next(iter(stays), ""),
                people=tuple(people),
            )
    return found


def moves_beside(plan: ShopPlan, in_force: ShopPlan | None) -> tuple[Move, ...]:
    """What a plan changes for each car, in the order of time; nothing without one."""
    if in_force is None:
        return ()
    now, was = film_works(plan), film_works(in_force)
    ready_was = {car.car: car.ready_at for car in in_force.cars}
    found = []
    for car in sorted(plan.cars, key=lambda car: car.ready_at):
        said = list(_of_work(car.car, now.get(car.car), was.get(car.car)))
        before = ready_was.get(car.car)
        if before and before != car.ready_at:
            said.append(
                say(
                    "{car}: ready {at} instead of {was}",
                    car=car.car,
                    at=car.ready_at,
                    was=before,
                )
            )
        if said:
            found.append(Move(car=car.car, what=tuple(said)))
    return tuple(found)


def _of_work(car: str, now: FilmWork | None, was: FilmWork | None) -> Iterator[Say]:
    if now is None:
        return
    known = {"car": car, "bay": now.bay, "people": ", ".join(now.people)}
    if was is None:
        yield say(
            "{car}: film work {at} in {bay} by {people}, new in the plan",
            at=now.starts_at,
            **known,
        )
        return
    if now.starts_at != was.starts_at:
        yield say(
            "{car}: film work {at} instead of {was}",
            car=car,
            at=now.starts_at,
            was=was.starts_at,
        )
    if now.bay != was.bay:
        yield say("{car}: in {bay} instead of {was}", car=car, bay=now.bay, was=was.bay)
    if set(now.people) != set(was.people):
        yield say(
            "{car}: by {people} instead of {was}",
            car=car,
            people=known["people"],
            was=", ".join(was.people),
        )


def beside(plan: ShopPlan, in_force: ShopPlan | None) -> ShopPlan:
    """The plan with what it changes told, and counted at each step."""
    return replace(sequenced(plan, in_force), moves=moves_beside(plan, in_force))


def sequenced(plan: ShopPlan, in_force: ShopPlan | None) -> ShopPlan:
    """The plan with each step's number of moves carried on: what a calendar asks."""
    before: Mapping[str, Step] = {}
    if in_force is not None:
        before = {step.key: step for step in in_force.steps}
    steps = tuple(_sequenced(step, before.get(step.key)) for step in plan.steps)
    return replace(plan, steps=steps)


def _sequenced(step: Step, was: Step | None) -> Step:
    if was is None:
        return step
    same = replace(step, sequence=was.sequence) == was
    return replace(step, sequence=was.sequence + (0 if same else 1))
