"""A plan that says why: each car that is late or tight, and cars that clash (pure).

`with_reasons` takes milliseconds a late car and needs no engine; `with_clashes` asks
the engine, in a task.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from jobs.plan.adapter import Compiled, compile_shop
from jobs.plan.pieces import Floor
from jobs.plan.planned import CarPlanned, ShopPlan
from jobs.plan.shop import BAY, CUTTER, SETTLING, WASH, Skill
from jobs.plan.why_says import (
    Group,
    alone_says,
    chain_says,
    clashes_say,
    tight_says,
)
from jobs.scheduling.alone import alone
from jobs.scheduling.bottleneck import bottlenecks
from jobs.scheduling.chain import chain
from jobs.scheduling.problem import NoPlanError, Plan, Problem, Settings
from jobs.scheduling.reach import promised_jobs
from jobs.scheduling.together import NOT_KNOWN, clashing
from shopapp.say import Say, say

MOST_WAITS = 3
"""More sentences about one car are not read."""
MOST_GROUPS = 2
KINDS = {
    BAY: "bays",
    WASH: "wash places",
    SETTLING: "places to settle",
    CUTTER: "cutters",
}
SKILLS = {
    Skill.ANY: "people",
    Skill.HELP: "people at the cars",
    Skill.INSPECT: "people who inspect",
    Skill.PREP: "people for prep",
    Skill.INSTALL: "installers",
}


def with_reasons(found: ShopPlan, *, compiled: Compiled, answer: Plan) -> ShopPlan:
    """The plan with the reason at each car that is late or tight.

    found     the plan in moments
    compiled  the problem that it answers
    answer    the same plan in ticks
    """
    if all(car.standing == "fits" for car in found.cars):
        return found
    free = free_problem(compiled)
    return replace(
        found,
        cars=tuple(
            replace(car, why=_why(car, free, compiled=compiled, answer=answer))
            for car in found.cars
        ),
    )


def free_problem(compiled: Compiled) -> Problem:
    """The problem in which nothing stays only because it is planned to begin soon."""
    if compiled.in_force is None:
        return compiled.problem
    return compile_shop(
        compiled.facts, fixed=compiled.fixed, loose=compiled.loose
    ).problem


def _why(
    car: CarPlanned, free: Problem, *, compiled: Compiled, answer: Plan
) -> tuple[Say, ...]:
    """Impossible even alone, else what it waits for in this plan."""
    if car.standing == "tight":
        return (tight_says(car),)
    facts = {each.key: each for each in compiled.facts.cars}
    if car.standing == "fits" or car.car not in facts:
        return ()
    if car.car in promised_jobs(free):
        found = alone(free, car.car, with_engine=False)
        if found.is_impossible:
            clock, now = compiled.floor.calendar, compiled.facts.now
            mine = facts[car.car]
            return alone_says(found, free, car=mine, clock=clock, now=now)
    links = chain(compiled.problem, answer, car.car)
    told = chain_says(links, clock=compiled.floor.calendar)[:MOST_WAITS]
    return told or (say("Nothing stands in its way: a better plan may be found."),)


def with_clashes(
    found: ShopPlan,
    *,
    compiled: Compiled,
    answer: Plan,
    settings: Settings | None = None,
    seconds: float = 10.0,
) -> ShopPlan:
    """The plan with what is said about cars that cannot all be in time.

    Where no small set is found in time, the groups that are short are told.
    """
    late = [car.car for car in found.cars if car.standing == "late"]
    if not late:
        return found
    free = free_problem(compiled)
    try:
        clash = clashing(free, settings, plan=answer, seconds=seconds)
    except NoPlanError:
        clash = NOT_KNOWN
    jobs = clash.jobs if clash and clash.jobs else promised_jobs(free)
    told = clashes_say(
        clash,
        bottlenecks(free, jobs)[:MOST_GROUPS],
        clock=compiled.floor.calendar,
        words=group_words(compiled.floor),
    )
    return replace(found, clashes=told)


def group_words(floor: Floor) -> Mapping[Group, str]:
    """What the shop calls those who share a skill, and its bays; only of several."""
    words = {tuple(floor.of_kind(kind)): word for kind, word in KINDS.items()}
    words |= {tuple(floor.able(skill)): word for skill, word in SKILLS.items()}
    return {group: word for group, word in words.items() if len(group) > 1}
