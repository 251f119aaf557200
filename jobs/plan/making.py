"""A plan of the shop: its facts as a problem, searched, and read back (pure)."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Any

from jobs.plan.adapter import compile_shop, plan_through
from jobs.plan.car_work import begins_of
from jobs.plan.moves import moves_beside, sequenced
from jobs.plan.planned import ShopPlan
from jobs.plan.shop import ShopFacts
from jobs.plan.why_late import with_clashes, with_reasons
from jobs.scheduling import quick_plan
from jobs.scheduling.hashing import problem_hash
from jobs.scheduling.problem import Level, Plan, Problem
from shopapp.say import Say, say

Search = Callable[[Problem], Plan]
HOLDS = (Level.CHANGE, Level.LATE, Level.STAY)
"""Goals where a plan is only carried on: first of all it stays what it was."""


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
    search: Search = quick_plan,
    levels: Sequence[Level] = (),
    clashes_s: float = 0.0,
) -> ShopPlan:
    """The shop planned, beside the plan in force, with the reason at each late car.

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
        problem_hash=hash_of(facts),
        cars=tuple(replace(car, begins=begins[car.car]) for car in found.cars),
    )
    return replace(sequenced(found, in_force), moves=moves_beside(found, in_force))


def carried_on(facts: ShopFacts, *, in_force: ShopPlan | None) -> ShopPlan:
    """The plan in force as it stands now; without one, a quick plan from scratch.

    By rules alone: the same facts give the same plan.
    """

    def by_rules(problem: Problem) -> Plan:
        return quick_plan(problem, seconds=0)

    found = plan_shop(facts, in_force=in_force, search=by_rules, levels=HOLDS)
    if in_force is None or _late(found) != _late(in_force):
        return found
    return replace(found, clashes=in_force.clashes)


def _late(plan: ShopPlan) -> set[str]:
    return {car.car for car in plan.cars if car.standing == "late"}


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
