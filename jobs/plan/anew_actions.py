"""Somebody is away, or is back: what moves is proposed without being asked for."""

from __future__ import annotations

from datetime import datetime

from jobs.plan.actions import make_plan
from jobs.plan.draft_queries import draft
from jobs.plan.forecast_actions import carry_on
from jobs.plan.moves import moves_beside
from jobs.plan.queries import in_force, proposal
from shopapp.background import ring
from shopapp.frame import Act, Tap, perform
from shopapp.models import HistoryEntry, Person

ANEW = "solvers.plan_anew"
"""Name of the worker's task that plans anew and proposes what moves."""


def ask_for_a_plan(act: Act) -> None:
    """Ring for it, in the name of whoever recorded what moves the plan."""
    by = act.tap.by.pk if act.tap.by else None
    ring(act, ANEW, subject="the plan", payload={"by": by})


def plan_anew(*, now: datetime, by: Person | None) -> bool:
    """Carry the plan on and propose what moves; True where that is something.

    Before the first plan nothing is proposed. A proposal that waits gives way, moves
    or not: it was made without knowing.
    """
    carry_on(now=now)
    known = in_force()
    if known is None:
        return False
    quick = draft(now=now)
    if not moves_beside(quick.plan, known) and proposal() is None:
        return False
    perform(Tap.made_by(by, at=now, via=HistoryEntry.Via.TASK), make_plan, quick=quick)
    return True
