"""The plans that are alive: in force, proposed, and as it stands now."""

from __future__ import annotations

from datetime import date, datetime

from django.db.models import Q
from django.utils import timezone

from jobs.models import BayPlan
from jobs.plan.planned import ShopPlan
from jobs.plan.stored import plan_from_json
from shopapp.background import ALIVE
from shopapp.models import BackgroundTask, Revision, the_shop
from shopapp.once import once_a_page

State = BayPlan.State
SEARCH = "solvers.plan"
"""Name of the worker's task that looks for a better plan."""


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


def in_force() -> ShopPlan | None:
    """The plan in force, as it was published."""
    row = published()
    return plan_of(row) if row else None


def search_of(row: BayPlan) -> BackgroundTask | None:
    """The search for a better plan than this proposal; None where none was begun."""
    of_it = Q(subject=subject_of(row)) | Q(payload__found=row.pk)
    return BackgroundTask.objects.filter(of_it, kind=SEARCH).order_by("-pk").first()


def is_searched(row: BayPlan) -> bool:
    """Whether a better plan is still being looked for."""
    task = search_of(row)
    return task is not None and task.state in ALIVE and not task.cancel


def is_still_the_answer(row: BayPlan) -> bool:
    """Whether a proposal says that the plan in force stays: the problem is the same."""
    known = published()
    if known is None or known.problem_hash != row.problem_hash or is_searched(row):
        return False
    return plan_of(known).steps == plan_of(row).steps


def subject_of(row: BayPlan) -> str:
    """What a search is about."""
    return f"bay plan {row.pk}"


def revision_now() -> int:
    """The shop's revision: it goes up with everything that is recorded."""
    return Revision.objects.values_list("number", flat=True).get(pk=1)


def has_work(person_pk: int, *, first: date, last: date, now: datetime) -> bool | None:
    """Whether work is planned for somebody on these days; None without a plan.

    first, last  days in the shop's zone, both of them too
    """
    plan = in_force()
    if plan is None:
        return None
    zone, key = the_shop().zone, f"person-{person_pk}"
    return any(
        key in step.people
        and step.ends_at > now
        and timezone.localtime(step.starts_at, zone).date() <= last
        and first <= timezone.localtime(step.ends_at, zone).date()
        for step in plan.steps
    )
