"""The plans that are alive: in force, proposed, and as it stands now."""

from __future__ import annotations

from jobs.models import BayPlan
from jobs.plan.planned import ShopPlan
from jobs.plan.stored import plan_from_json
from shopapp.once import once_a_page

State = BayPlan.State


@once_a_page
def published() -> BayPlan | None:
    """The manager's plan in force; None before the first."""
    return _alive(State.PUBLISHED)


@once_a_page
def proposal() -> BayPlan | None:
    """What waits to be published or dropped."""
    return _alive(State.PROPOSED)


@once_a_page
def standing() -> BayPlan | None:
    """The plan carried on to what has happened since: what pages show."""
    return _alive(State.STANDING)


def _alive(state: str) -> BayPlan | None:
    rows = BayPlan.objects.select_related("made_by", "settled_by")
    return rows.filter(state=state).first()


@once_a_page
def plan_of(row: BayPlan) -> ShopPlan:
    """What is stored in a row, whatever version stored it."""
    return plan_from_json(row.facts)
