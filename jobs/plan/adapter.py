"""The shop as a problem of scheduling, and a plan of it in moments again (pure)."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace

from jobs.plan.as_problem import WEEK, problem_of
from jobs.plan.building import chain_of
from jobs.plan.calendar import Calendar
from jobs.plan.chain import Chain
from jobs.plan.cutting import pin_cuts
from jobs.plan.pieces import Floor
from jobs.plan.pins import Bound, pin_as_planned, pin_begun, pin_beside, pin_standing
from jobs.plan.planned import Reached, ShopPlan, Step
from jobs.plan.reading import car_planned, steps_of
from jobs.plan.refusing import held_by, odd, refusal, taken
from jobs.plan.shop import CUTTER, SETTLING, Car, ShopFacts, Skill
from jobs.plan.wishes import (
    is_fixed,
    say_unknown,
    wish_day,
    without_day,
    without_wishes,
)
from jobs.scheduling.hashing import problem_hash
from jobs.scheduling.problem import (
    Fault,
    FaultKind,
    Interval,
    Level,
    NoPlanError,
    Plan,
    Problem,
)
from shopapp.say import Say, say

SPARE_MIN = 10 * 60
"""Opening minutes that a car may hold its bay while its film settles."""
FEW_TRIES, MOST_TRIES = 8, 16
"""So often what is given up is given up for the cars concerned alone, and at all."""


@dataclass(frozen=True, kw_only=True)
class Loose:
    """What is given up so that a plan can be found.

    freeze   nothing is kept only because it begins soon
    days     cars for which no day is fixed
    wishes   cars for which nothing is fixed
    begun    cars not bound to go on at once, by the same people, where they stand
    out      cars that are left out
    longer   the calendar is so many times as long
    """

    freeze: bool = False
    days: frozenset[str] = frozenset()
    wishes: frozenset[str] = frozenset()
    begun: frozenset[str] = frozenset()
    out: frozenset[str] = frozenset()
    longer: int = 1


@dataclass(frozen=True, kw_only=True)
class Compiled:
    """The problem, and the way back.

    refused  cars that no plan can take, with the reason
    assumed  what was assumed or given up
    loose    what was given up, as it was asked for
    """

    facts: ShopFacts
    problem: Problem
    floor: Floor
    chains: tuple[Chain, ...]
    refused: Mapping[str, Say] = field(default_factory=dict)
    assumed: tuple[Say, ...] = ()
    in_force: ShopPlan | None = None
    fixed: ShopPlan | None = None
    loose: Loose = Loose()

    def read(self, plan: Plan) -> ShopPlan:
        """The plan in moments; cars that were held fixed are handed on as they were."""
        calendar, fixed = self.floor.calendar, self.fixed
        placed = plan.by_key
        led = {each.key: each.people for each in _steps(self.in_force)}
        steps = [
            step
            for chain in self.chains
            for step in steps_of(chain, placed, calendar=calendar, led=led)
        ]
        cars = [car_planned(each, placed, calendar=calendar) for each in self.chains]
        if fixed:
            steps += fixed.steps
            cars += fixed.cars
        return ShopPlan(
            as_of=self.facts.now,
            steps=tuple(sorted(steps, key=lambda one: (one.starts_at, one.key))),
            cars=tuple(sorted(cars, key=lambda one: one.car)),
            reached=tuple(_reached(plan)),
            origin="solver" if plan.origin == "solver" else "quick",
            problem_hash=plan.problem_hash,
            engine=plan.engine,
            seed=plan.seed,
            workers=plan.workers,
            unplaced=tuple(self.refused.items()),
            assumed=self.assumed,
            given=tuple(self._given()),
        )

    def _given(self) -> Iterator[Say]:
        """What stays whatever is better."""
        freeze_h = self.facts.freeze_h
        if self.in_force and freeze_h and not self.loose.freeze:
            yield say(
                "What begins within {hours} h stays as it is.", hours=round(freeze_h)
            )
        if any(is_fixed(each.car) for each in self.chains):
            yield say("What was fixed for a car stays as it is.")


def plan_through(
    facts: ShopFacts,
    *,
    search: Callable[[Problem], Plan],
    in_force: ShopPlan | None = None,
    fixed: ShopPlan | None = None,
    levels: Sequence[Level] = (),
) -> tuple[Compiled, Plan]:
    """A plan by whatever search; what stands against it is given up step by step.

    First what is only frozen, then what was fixed for the cars concerned, then that
    their work goes on at once; a car that still fits nowhere is left out, and said.

    levels  the goals that count, of those that the problem has; () for all
    """
    loose = Loose()
    for tried in range(MOST_TRIES):
        compiled = compile_shop(facts, in_force=in_force, fixed=fixed, loose=loose)
        problem = compiled.problem
        if levels:
            wanted = tuple(each for each in levels if each in problem.levels)
            problem = replace(problem, levels=wanted)
            compiled = replace(compiled, problem=problem)
        if not compiled.chains:
            break
        try:
            return compiled, search(problem)
        except NoPlanError as error:
            faults = error.problems if tried < FEW_TRIES else ()
            loose = looser(loose, faults, compiled)
    else:
        everybody = frozenset(car.key for car in facts.cars)
        compiled = compile_shop(facts, fixed=fixed, loose=replace(loose, out=everybody))
    digest = problem_hash(compiled.problem)
    return compiled, Plan(placed=(), levels=(), origin="", problem_hash=digest)


def looser(loose: Loose, faults: Sequence[Fault], compiled: Compiled) -> Loose:
    """What is given up next, for the cars that the faults are about; else for all."""
    named = {key.split("/")[0] for fault in faults for key in fault.about}
    cars = named & {chain.car.key for chain in compiled.chains} or {
        chain.car.key for chain in compiled.chains
    }
    is_short = any(fault.kind is FaultKind.NO_TIME for fault in faults)
    if is_short and loose.longer == 1:
        return replace(loose, longer=4)
    if not loose.freeze:
        return replace(loose, freeze=True)
    if cars - loose.days:
        return replace(loose, days=loose.days | cars)
    if cars - loose.wishes:
        return replace(loose, wishes=loose.wishes | cars)
    if cars - loose.begun:
        return replace(loose, begun=loose.begun | cars)
    return replace(loose, out=loose.out | cars)


def compile_shop(
    facts: ShopFacts,
    *,
    in_force: ShopPlan | None = None,
    fixed: ShopPlan | None = None,
    loose: Loose = Loose(),
) -> Compiled:
    """The shop as a problem.

    in_force  the plan that changes should stay small beside
    fixed     all cars of this plan stay exactly where they are; the others are planned
    loose     what an attempt before this one has shown to be impossible
    """
    stays = {each.car for each in fixed.cars} if fixed else set()
    cars = sorted(facts.cars, key=lambda car: car.key)
    cars = [car for car in cars if car.key not in stays]
    floor = _floor(facts, cars=cars, fixed=fixed, longer=loose.longer)
    said: list[Say] = [*taken(floor)]
    out = [car for car in cars if refusal(car, floor) or _left_out(car, loose)]
    floor = held_by(out, floor=floor, said=said)
    refused: dict[str, Say] = {}
    chains: list[Chain] = []
    before = _ticks_of(in_force, floor.calendar)
    for car in cars:
        why = refusal(car, floor) or _left_out(car, loose)
        if why:
            refused[car.key] = why
            continue
        said += odd(car, floor)
        free = _freed(car, loose, floor)
        if free != car:
            said.append(say("What was fixed for {car} cannot be kept.", car=car.key))
        chains.append(chain_of(free, floor=floor, before=before))
    _pin(chains, floor=floor, in_force=in_force, loose=loose)
    problem = problem_of(chains, floor=floor, in_force=in_force, fixed=fixed)
    return Compiled(
        facts=facts,
        problem=problem,
        floor=floor,
        chains=tuple(chains),
        refused=refused,
        assumed=(*said, *(each for chain in chains for each in chain.assumed)),
        in_force=in_force,
        fixed=fixed,
        loose=loose,
    )


def _floor(
    facts: ShopFacts, *, cars: Sequence[Car], fixed: ShopPlan | None, longer: int
) -> Floor:
    """The calendar, long enough for all work one after the other, and who is there."""
    zone = facts.now.tzinfo
    if zone is None:
        raise ValueError("a time without its zone cannot start a plan")
    moments = [facts.now, *(step.ends_at for step in _steps(fixed))]
    for car in cars:
        known = (car.arrives_at, car.promised_at, car.ready_from, car.settles_until)
        moments += [each for each in (*known, car.not_after) if each]
    minutes = sum(work.minutes for car in cars for work in car.works)
    minutes += SPARE_MIN * len(cars)
    bays = sum(spot.kind not in (CUTTER, SETTLING) for spot in facts.spots) or 1
    hands = sum(Skill.INSTALL in hand.skills for hand in facts.hands) or 1
    calendar = Calendar(
        opening=facts.opening,
        zone=zone,
        starts_at=facts.now,
        until=max(moments) + WEEK,
        tick_min=facts.tick_min,
        at_least=longer * minutes // min(bays, hands) // facts.tick_min,
    )
    return Floor(facts=facts, calendar=calendar, closed=_closed(facts, fixed, calendar))


def _closed(
    facts: ShopFacts, fixed: ShopPlan | None, calendar: Calendar
) -> dict[str, tuple[Interval, ...]]:
    """When people and spots are not there, or taken by cars that stay."""
    away = {hand.key: [*hand.away] for hand in facts.hands}
    away |= {spot.key: [*spot.closed] for spot in facts.spots}
    several = {spot.key for spot in facts.spots if spot.room_for > 1}
    for step in _steps(fixed):
        for key in {*step.people, step.spot} - several:
            if key in away:
                away[key].append((step.starts_at, step.ends_at))
    return {key: calendar.closed(times) for key, times in away.items()}


def _freed(car: Car, loose: Loose, floor: Floor) -> Car:
    """The car without what cannot be kept of what was fixed for it."""
    if car.key in loose.wishes:
        return without_wishes(car, keeps_bay=not floor.of_kind(car.bay_kind))
    return without_day(car) if car.key in loose.days else car


def _left_out(car: Car, loose: Loose) -> Say | None:
    if car.key not in loose.out:
        return None
    return say("{car} fits nowhere beside what is fixed for the others.", car=car.key)


def _ticks_of(plan: ShopPlan | None, calendar: Calendar) -> dict[str, int]:
    """Of each step of a plan that is not over, its ticks.

    0 where it should have begun: how long that takes, the car's own work says.
    """
    found = {}
    for step in _steps(plan):
        start, end = calendar.ceil(step.starts_at), calendar.floor(step.ends_at)
        if start < end:
            is_ahead = step.starts_at >= calendar.starts_at
            found[step.key] = end - start if is_ahead else 0
    return found


def _pin(
    chains: Sequence[Chain],
    *,
    floor: Floor,
    in_force: ShopPlan | None,
    loose: Loose,
) -> None:
    bound = Bound(floor)
    for chain in chains:
        say_unknown(chain, floor=floor)
        if chain.car.key not in loose.begun:
            pin_begun(chain, bound=bound, floor=floor)
    for chain in chains:
        pin_beside(chain, bound=bound, floor=floor)
    for chain in chains:
        moves = chain.car.key in loose.begun
        pin_standing(chain, bound=bound, floor=floor, moves=moves)
    pin_cuts(chains, bound=bound, floor=floor)
    if in_force and not loose.freeze:
        pin_as_planned(chains, in_force.steps, bound=bound, floor=floor)
    for chain in chains:
        wish_day(chain, floor=floor)


def _steps(plan: ShopPlan | None) -> tuple[Step, ...]:
    return plan.steps if plan else ()


def _reached(plan: Plan) -> Iterator[Reached]:
    for place, each in enumerate(plan.levels):
        yield Reached(
            level=each.level.value,
            value=each.value,
            bound=each.bound,
            is_proven=each.is_proven,
            first=plan.first[place] if place < len(plan.first) else None,
        )
