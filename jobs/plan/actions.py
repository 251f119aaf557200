"""The manager's plan: proposed, searched further, published, dropped."""

from __future__ import annotations

from dataclasses import replace

from jobs.models import BayPlan
from jobs.plan.forecast_actions import keep_standing
from jobs.plan.making import Draft
from jobs.plan.moves import beside
from jobs.plan.publish_actions import (
    lock_cars,
    refuse_changed,
    tell_the_cars,
)
from jobs.plan.queries import SEARCH, State, in_force, subject_of
from jobs.plan.stored import plan_from_json, plan_to_json
from shopapp.background import ALIVE, ring
from shopapp.frame import Act, Json, Refused, action
from shopapp.models import BackgroundTask, Person
from shopapp.say import say


@action("plan.make")
def make_plan(act: Act, *, quick: Draft) -> Json:
    """Propose the quick plan, and ask a worker for a better one."""
    if not quick.plan.mentioned:
        raise Refused(say("There is no car to plan."))
    give_way(act)
    return {"pk": propose(act, quick, by=act.tap.by).pk}


@action("plan.stop")
def stop_search(act: Act, *, plan_pk: int) -> Json:
    """Stop looking for a better plan: what has been found stays proposed."""
    row = _waiting(act, plan_pk)
    _stop(row)
    return {"pk": row.pk}


@action("plan.drop")
def drop_plan(act: Act, *, plan_pk: int) -> Json:
    """Put a proposal aside."""
    row = _waiting(act, plan_pk)
    _settle(act, row, State.DROPPED)
    _stop(row)
    return {"pk": row.pk}


@action("plan.improve")
def improve_plan(act: Act, *, plan_pk: int, searched: Draft) -> Json:
    """Propose what the search has found in the place of the quick plan.

    Nothing happens when the proposal was published or dropped meanwhile. Another plan
    is another row: what a manager has read is what is published.
    """
    row = act.lock(BayPlan, plan_pk)
    if row.state != State.PROPOSED:
        return {"pk": row.pk}
    quick = plan_from_json(row.facts)
    plan = replace(searched.plan, because=quick.because)
    if quick.steps == plan.steps:
        row.facts = plan_to_json(plan)
        row.save(update_fields=["facts"])
        return {"pk": row.pk}
    _settle(act, row, State.DROPPED)
    found = replace(searched, plan=plan)
    return {"pk": _keep(act, found, by=row.made_by).pk}


@action("plan.publish")
def publish_plan(act: Act, *, plan_pk: int) -> Json:
    """Put a proposal in force: the cars are told, and what is ready when.

    Refused where a car has gone on since, somebody is away since, or another manager
    was faster.
    """
    cars = lock_cars(act, plan_pk)
    row = _waiting(act, plan_pk)
    plan = plan_from_json(row.facts)
    refuse_changed(act, plan)
    was = in_force()
    plan = beside(plan, was)
    _replace_published(act)
    _settle(act, row, State.PUBLISHED)
    _stop(row)
    row.facts = plan_to_json(plan)
    row.save(update_fields=["facts"])
    tell_the_cars(act, cars, plan=plan, was=was)
    as_it_stands = replace(plan, because=())
    keep_standing(as_it_stands, of=row, now=act.now, revision=row.revision)
    return {"pk": row.pk}


def propose(act: Act, quick: Draft, *, by: Person | None) -> BayPlan:
    """Keep the quick plan as what is proposed, and ask a worker for a better one."""
    row = _keep(act, quick, by=by)
    if not quick.is_same and quick.plan.steps:
        ring(act, SEARCH, subject=subject_of(row), payload={"plan": row.pk})
    return row


def _keep(act: Act, draft: Draft, *, by: Person | None) -> BayPlan:
    return BayPlan.objects.create(
        state=State.PROPOSED,
        problem_hash=draft.plan.problem_hash,
        facts=plan_to_json(draft.plan),
        made_by=by,
        made_at=act.now,
        revision=draft.revision,
    )


def give_way(act: Act) -> None:
    """One proposal at a time: the older one is dropped, and its search stops."""
    for pk in BayPlan.objects.filter(state=State.PROPOSED).values_list("pk", flat=True):
        row = act.lock(BayPlan, pk)
        if row.state == State.PROPOSED:
            _settle(act, row, State.DROPPED)
            _stop(row)


def _replace_published(act: Act) -> None:
    for row in BayPlan.objects.filter(state=State.PUBLISHED):
        row.state = State.REPLACED
        row.save(update_fields=["state"])


def _waiting(act: Act, plan_pk: int) -> BayPlan:
    """The proposal, locked, if it still waits."""
    row = act.lock(BayPlan, plan_pk)
    if row.state == State.PROPOSED:
        return row
    if row.state == State.DROPPED:
        raise Refused(
            say("This proposal was dropped, or a newer one was made. Look at that one.")
        )
    raise Refused(say("This plan has been published already."))


def _settle(act: Act, row: BayPlan, state: str) -> None:
    row.state = state
    row.settled_by, row.settled_at = act.tap.by, act.now
    row.save(update_fields=["state", "settled_by", "settled_at"])


def _stop(row: BayPlan) -> None:
    alive = BackgroundTask.objects.filter(kind=SEARCH, state__in=ALIVE)
    alive.filter(subject=subject_of(row)).update(cancel=True)
