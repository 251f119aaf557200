"""A plan made from the records as they are now, before anything is locked."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime

from jobs.plan.making import Draft, Search, carried_on, hash_of, plan_shop
from jobs.plan.moves import beside
from jobs.plan.planned import ShopPlan
from jobs.plan.queries import in_force, plan_of, revision_now, standing
from jobs.plan.shop import ShopFacts
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
    digest = hash_of(facts)
    if known and known.was_searched and known.problem_hash == digest:
        return Draft(plan=replace(known, moves=()), revision=revision, is_same=True)
    # Beside what stands now: work that takes longer has pushed what comes after it.
    plan = plan_shop(
        facts,
        in_force=_as_it_stands(facts, known, digest) if known else None,
        digest=digest,
        search=search,
        clashes_s=clashes_s,
    )
    return Draft(plan=beside(plan, known), revision=revision)


def _as_it_stands(facts: ShopFacts, known: ShopPlan, digest: str) -> ShopPlan:
    """The plan in force carried on to now: nothing in it begins before."""
    row = standing()
    if row and row.problem_hash == digest:
        return plan_of(row)
    return carried_on(facts, in_force=known, digest=digest)
