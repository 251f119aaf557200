"""What is proposed after an absence or an overrun, and when nothing is (pure)."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass, replace
from datetime import timedelta

from jobs.plan.causes import (
    LASTING,
    causes,
    gained,
    is_over,
    late_cars,
    remembered,
)
from jobs.plan.making import Search, carried_on, plan_shop
from jobs.plan.moves import beside
from jobs.plan.planned import Cause, ShopPlan
from jobs.plan.shop import ShopFacts
from jobs.scheduling import quick_plan

KNOWN_LATE = timedelta(minutes=30)
"""Work is so much further than is known of it.

A panel is recorded when it lies, and begun work when somebody has a hand free: a plan
that counts it from this minute on is late at every quarter of an hour. Common practice,
no published source.
"""


@dataclass(frozen=True, kw_only=True)
class Replan:
    """The answer to what the plan in force did not know.

    plan      what is proposed; None: nothing
    answered  what is not asked again as long as it lasts
    is_over   an open proposal answers what was taken back
    """

    plan: ShopPlan | None
    answered: tuple[Cause, ...]
    is_over: bool = False


def replanned(
    facts: ShopFacts,
    *,
    plan: ShopPlan,
    standing: ShopPlan,
    answered: Collection[Cause],
    proposed: Collection[Cause] = (),
    search: Search = quick_plan,
) -> Replan:
    """Another plan, where something is met that was not answered yet.

    plan      in force
    standing  it, carried on to these facts: the other plan changes little beside it
    answered  what was answered before
    proposed  why the open proposal was made; () where a person asked for it
    """
    calm = _not_of_this_minute(facts, plan=plan, standing=standing, answered=answered)
    met = calm.because
    over = is_over(proposed, met)
    if not (over or {*met} - {*answered} or any(late_cars(calm))):
        return Replan(plan=None, answered=remembered(met, answered))
    found = plan_shop(
        facts, in_force=standing, digest=standing.problem_hash, search=search
    )
    found = beside(found, plan)
    # What the other plan does not answer either would be asked again for ever.
    stays = {*causes(found, standing=found, facts=facts)}
    met = tuple(each for each in (*met, *gained(calm, found)) if each not in stays)
    is_new = bool({*met} - {*answered}) or (over and bool(met))
    is_worth = is_new and bool(found.moves or found.unplaced)
    return Replan(
        plan=replace(found, because=met) if is_worth else None,
        answered=remembered((*calm.because, *met), answered),
        is_over=over,
    )


def _not_of_this_minute(
    facts: ShopFacts,
    *,
    plan: ShopPlan,
    standing: ShopPlan,
    answered: Collection[Cause],
) -> ShopPlan:
    """The plan as it stands; an overrun must be one from half an hour ago on too."""
    new = {each for each in standing.because if each.why not in LASTING}
    if not (new - {*answered} or any(late_cars(standing))):
        return standing
    before = carried_on(replace(facts, now=facts.now - KNOWN_LATE), in_force=plan)
    both = {*before.because} | {*answered}
    met = (c for c in standing.because if c.why in LASTING or c in both)
    late = {*late_cars(before)}
    cars = (each for each in standing.cars if each.car in late)
    return replace(standing, because=tuple(met), cars=tuple(cars))
