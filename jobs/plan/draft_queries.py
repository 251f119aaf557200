"""A plan made from the records as they are now, before anything is locked."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime

from jobs.plan.making import Draft, Search, hash_of, plan_shop
from jobs.plan.planned import ShopPlan
from jobs.plan.queries import in_force, plan_of, revision_now, standing
from jobs.plan.shop_queries import shop_facts
from jobs.scheduling import quick_plan


def draft(
    *, now: datetime, search: Search = quick_plan, clashes_s: float = 0.0
) -> Draft:
    """A plan beside the one in force; the one in force where it is the answer still.

    A quick plan that was published is no answer: a search may find a better one.

    clashes_s  how long to look for the cars that cannot all be in time; 0: not
    """
    revision, facts, known = revision_now(), shop_facts(now=now), in_force()
    if known and known.was_searched and known.problem_hash == hash_of(facts):
        return Draft(plan=replace(known, moves=()), revision=revision, is_same=True)
    # Beside what stands now: work that takes longer has pushed what comes after it.
    plan = plan_shop(
        facts,
        in_force=_as_it_stands() if known else None,
        search=search,
        clashes_s=clashes_s,
    )
    return Draft(plan=plan, revision=revision)


def _as_it_stands() -> ShopPlan | None:
    row = standing()
    return plan_of(row) if row else in_force()
