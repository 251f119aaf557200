"""The plan in force carried on; what moves is proposed where it does not hold."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta

from django.db import transaction
from django.db.models import Q

from jobs.models import BayPlan
from jobs.plan.actions import give_way, propose
from jobs.plan.forecast_actions import keep_as_of, keep_standing, know_own, tell_pages
from jobs.plan.making import Draft, carried_on, hash_of
from jobs.plan.planned import Cause, ShopPlan
from jobs.plan.queries import (
    State,
    plan_of,
    proposal,
    published,
    revision_now,
    standing,
)
from jobs.plan.replanning import Replan, replanned
from jobs.plan.shop import ShopFacts
from jobs.plan.shop_queries import shop_facts
from shopapp.frame import Act, Json, Tap, action, perform
from shopapp.models import HistoryEntry

QUARTER = timedelta(minutes=15)


def carry_on(*, now: datetime) -> bool:
    """Carry the plan on to what has happened since; True where a page shows it.

    Where the plan in force does not hold any more, another is proposed. Cheap where
    nothing was recorded and no quarter of an hour began.
    """
    revision, row = revision_now(), standing()
    if row and row.revision == revision and _quarter(row.made_at) == _quarter(now):
        return False
    facts = shop_facts(now=now)
    digest = hash_of(facts)
    if row and row.problem_hash == digest:
        keep_as_of(now, revision=revision)
        return False
    known = published()
    plan = plan_of(known) if known else None
    found = carried_on(facts, in_force=plan, digest=digest)
    was = plan_of(row).because if row else ()
    replan = _replanned(facts, plan=plan, found=found, was=was)
    found = replace(found, because=replan.answered)
    with transaction.atomic():
        is_proposed = bool(replan.plan or replan.is_over)
        if is_proposed:
            quick = Draft(plan=replan.plan or found, revision=revision)
            tap = Tap.made_by(None, at=now, via=HistoryEntry.Via.TASK)
            perform(tap, propose_moves, quick=quick, is_over=replan.plan is None)
        is_shown = keep_standing(found, of=known, now=now, revision=revision)
        if is_shown and not is_proposed:
            tell_pages()
        if is_shown or is_proposed:
            know_own(revision)
    return is_shown or is_proposed


@action("plan.propose")
def propose_moves(act: Act, *, quick: Draft, is_over: bool) -> Json:
    """Propose what moves, though nobody pressed; unless just that was proposed.

    is_over  nothing moves any more: the proposal that nobody asked for is dropped
    """
    same = BayPlan.objects.filter(problem_hash=quick.plan.problem_hash)
    by_hand = Q(state=State.DROPPED, settled_by__isnull=False)
    if same.filter(Q(state=State.PROPOSED) | by_hand).exists():
        return {}
    give_way(act)
    return {} if is_over else {"pk": propose(act, quick, by=None).pk}


def _replanned(
    facts: ShopFacts,
    *,
    plan: ShopPlan | None,
    found: ShopPlan,
    was: tuple[Cause, ...],
) -> Replan:
    """Nothing is proposed before a manager has published the first plan."""
    if plan is None:
        return Replan(plan=None, answered=())
    row = proposal()
    proposed = plan_of(row).because if row and row.made_by is None else ()
    return replanned(facts, plan=plan, standing=found, answered=was, proposed=proposed)


def _quarter(at: datetime) -> int:
    return int(at.timestamp() // QUARTER.total_seconds())
