"""A plan of the shop: its facts as a problem, searched, and read back (pure)."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Any

from jobs.plan.adapter import compile_shop, plan_through
from jobs.plan.car_work import begins_of
from jobs.plan.causes import causes, with_clashes_kept
from jobs.plan.moves import beside
from jobs.plan.planned import ShopPlan
from jobs.plan.shop import ShopFacts
from jobs.plan.why_late import with_clashes, with_reasons
from jobs.scheduling import quick_plan
from jobs.scheduling.hashing import problem_hash
from jobs.scheduling.problem import Level, Need, NoPlanError, Plan, Problem
from shopapp.say import Say, say

Search = Callable[[Problem], Plan]


@dataclass(frozen=True, kw_only=True)
class Draft:
    """A quick plan, made before anything is locked.

    revision  of the shop, when its facts were read
    is_same   nothing is to be planned anew: the plan in force is the answer
    """

    plan: ShopPlan
    revision: int
    is_same: bool = False

    def to_json(self) -> dict[str, Any]:
        """What the press of the button was about: the plan, whatever it said."""
        return {}


def plan_shop(
    facts: ShopFacts,
    *,
    in_force: ShopPlan | None,
    digest: str = "",
    search: Search = quick_plan,
    levels: Sequence[Level] = (),
    clashes_s: float = 0.0,
) -> ShopPlan:
    """The shop planned, beside the plan in force, with the reason at each late car.

    digest     `hash_of` these facts, where it is known already
    search     the quick plan, or one that takes its time
    levels     other goals than those of a plan to be published
    clashes_s  how long to look for the cars that cannot all be in time; 0: not
    """
    compiled, answer = plan_through(
        facts, search=search, in_force=in_force, levels=levels
    )
    found = with_reasons(compiled.read(answer), compiled=compiled, answer=answer)
    if clashes_s:
        found = with_clashes(found, compiled=compiled, answer=answer, seconds=clashes_s)
    begins = {car.key: begins_of(car) for car in facts.cars}
    found = replace(
        found,
        problem_hash=digest or hash_of(facts),
        cars=tuple(replace(car, begins=begins[car.car]) for car in found.cars),
    )
    return beside(found, in_force)


def carried_on(
    facts: ShopFacts, *, in_force: ShopPlan | None, digest: str = ""
) -> ShopPlan:
    """The plan in force as it stands now; without one, a quick plan from scratch.

    What takes longer pushes what comes after it; bays and people stay where they are.
    It says what the plan in force did not know.
    """
    if in_force is None:
        return plan_shop(facts, in_force=None, digest=digest)
    # Nothing is frozen: frozen work would let a car that is late wait behind it all.
    loose = replace(facts, freeze_h=0.0)
    found = plan_shop(
        loose, in_force=in_force, digest=digest, search=_by_the_same_people
    )
    met = causes(in_force, standing=found, facts=facts)
    found = with_clashes_kept(found, plan=in_force, met=met)
    return replace(found, because=met)


def _by_the_same_people(problem: Problem) -> Plan:
    """By rules alone: the same each time, or cars would be late by turns."""
    try:
        return quick_plan(same_hands(problem), seconds=0)
    except NoPlanError:
        return quick_plan(problem, seconds=0)


def same_hands(problem: Problem) -> Problem:
    """The problem in which whoever served in the plan before serves again.

    Not who is away by then, nor a bay that is closed.
    """
    before = {placed.key: placed for placed in problem.previous}
    closed = {each.key: each.closed for each in problem.resources}

    def pins(key: str, needs: Iterable[Need]) -> tuple[str, ...]:
        was = before.get(key)
        if was is None:
            return ()
        able = {choice.resource for need in needs for choice in need.choices}
        return tuple(
            name
            for name in was.resources
            if name in able
            and not any(a < was.end and was.start < b for a, b in closed[name])
        )

    return replace(
        problem,
        activities=tuple(
            replace(one, pinned=one.pinned or pins(one.key, one.needs))
            for one in problem.activities
        ),
        spans=tuple(
            replace(one, pinned=one.pinned or pins(one.key, (one.need,)))
            for one in problem.spans
        ),
    )


def hash_of(facts: ShopFacts) -> str:
    """Of the problem, whatever plan is in force: the same facts, the same hash."""
    return problem_hash(compile_shop(facts).problem)


def changed_since(plan: ShopPlan, facts: ShopFacts) -> tuple[Say, ...]:
    """Why a plan cannot be published any more: cars that have gone on meanwhile."""
    now = {car.key: begins_of(car) for car in facts.cars}
    return tuple(
        say("{car} has gone on since this plan was made. Plan again.", car=car.car)
        for car in plan.cars
        if now.get(car.car) != car.begins
    )
