"""What waits to be published: what moves, what it gains, how far that is proven."""

from __future__ import annotations

import hashlib
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.utils import timezone
from django.views.decorators.http import require_GET

from jobs.models import BayPlan
from jobs.plan.causes import told
from jobs.plan.draft_queries import draft
from jobs.plan.name_queries import names_of
from jobs.plan.naming import named
from jobs.plan.planned import ShopPlan
from jobs.plan.proof import goals, late_said
from jobs.plan.queries import (
    is_still_the_answer,
    plan_of,
    proposal,
    published,
    standing,
)
from jobs.plan.shown_queries import cars_by_key, search_now
from jobs.plan.today import differences
from shopapp.access import allow
from shopapp.htmx import page_or_fragment
from shopapp.pressing import Bound
from shopapp.say import Say


@require_GET
@allow("plan.view")
def plan_proposal(request: HttpRequest, *, bound: Bound | None = None) -> HttpResponse:
    """The proposal beside the plan as it stands."""
    context = proposal_context()
    seen = _seen(context)
    if request.GET.get("seen") == seen:
        return HttpResponse(status=204)
    return page_or_fragment(
        request,
        "jobs/plan/plan_proposal.html",
        "jobs/plan/_proposal.html",
        {**context, "bound": bound, "tab": "proposal", "seen": seen},
    )


def quick_draft() -> dict[str, Any]:
    """The quick plan, made before anything is locked."""
    return {"quick": draft(now=timezone.now())}


def plan_row(plan_pk: int) -> dict[str, Any]:
    """The plan that the address names, or 404."""
    get_object_or_404(BayPlan, pk=plan_pk)
    return {"plan_pk": plan_pk}


def proposal_context() -> dict[str, Any]:
    """What the page shows: plain facts, so that two looks can be compared."""
    row, now = proposal(), standing()
    context = {"row": row, "search": search_now(row)}
    if row is None:
        return context
    plan, before = plan_of(row), plan_of(now) if now else None
    return context | _compared(row, plan, before)


def _compared(row: BayPlan, plan: ShopPlan, before: ShopPlan | None) -> dict[str, Any]:
    cars = cars_by_key(plan.mentioned | (before.mentioned if before else frozenset()))
    names = names_of(cars=cars.values())
    return {
        "plan_pk": row.pk,
        "made_at": row.made_at,
        "made_by": str(row.made_by or ""),
        "cars": cars,
        "moves": [
            (cars.get(move.car), [_alone(named(said, names)) for said in move.what])
            for move in plan.moves
        ],
        "late_before": late_said(before) if before else None,
        "late_after": late_said(plan),
        "differences": differences(before, plan),
        "clashes": [named(said, names) for said in plan.clashes],
        "unplaced": [named(said, names) for _, said in plan.unplaced],
        "assumed": [named(said, names) for said in plan.assumed],
        "goals": goals(plan),
        "given": plan.given,
        "because": [named(said, names) for said in told(plan.because)],
        "is_searched": plan.origin == "solver",
        "in_force": published() is not None,
        "is_same": is_still_the_answer(row),
    }


def _alone(sentence: Say) -> Say:
    """A sentence that stands under its car's plate already."""
    return Say(sentence.text.removeprefix("{car}: "), sentence.params)


def _seen(context: dict[str, Any]) -> str:
    """Tells two looks apart."""
    facts = {name: value for name, value in context.items() if name != "row"}
    return hashlib.sha256(repr(sorted(facts.items())).encode()).hexdigest()[:16]
