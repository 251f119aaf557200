"""A shop planned by rules alone, checked twice."""

from __future__ import annotations

from typing import Any

from jobs.plan.adapter import Compiled, plan_through
from jobs.plan.planned import ShopPlan, Step
from jobs.plan.shop import Part, ShopFacts
from jobs.scheduling.checker import violations
from jobs.scheduling.listing import quick_plan
from jobs.scheduling.problem import Plan, Problem

from .recount import complaints


def by_rules(problem: Problem) -> Plan:
    """The quick plan without a clock."""
    return quick_plan(problem, seconds=0)


def planned(facts: ShopFacts, **more: Any) -> ShopPlan:
    """The plan read back; both second opinions are asked."""
    return compiled_and_planned(facts, **more)[1]


def compiled_and_planned(facts: ShopFacts, **more: Any) -> tuple[Compiled, ShopPlan]:
    """The problem too."""
    compiled, plan = plan_through(facts, search=by_rules, **more)
    if compiled.chains:
        assert violations(compiled.problem, plan) == ()
    found = compiled.read(plan)
    assert complaints(facts, found) == []
    return compiled, found


def step(plan: ShopPlan, car: str, part: Part, number: int = 0) -> Step:
    """One step of a plan."""
    key = f"{car}/{part.value}/{number}"
    return next(each for each in plan.steps if each.key == key)


def said(plan: ShopPlan) -> str:
    """All that was assumed and refused."""
    return " ".join(
        str(each) for each in (*plan.assumed, *dict(plan.unplaced).values())
    )
