"""Pulls: film planned for an order, improved meanwhile, taken, cut again."""

from __future__ import annotations

from collections.abc import Sequence

from jobs.condition.reading_actions import lock_open
from jobs.models import CutPlan, Pull, WorkOrder
from jobs.pulls.change_queries import changed_since
from jobs.pulls.plan import no_film
from jobs.pulls.queries import open_pull, panels_cut, planned_with
from jobs.pulls.stored import FrozenPull, pull_from_json
from shopapp.background import ring
from shopapp.frame import Act, Json, Refused, action
from shopapp.say import Say, say

State = Pull.State


@action("pull.plan")
def plan_the_pull(act: Act, *, workorder_pk: int, quick: FrozenPull) -> Json:
    """Keep the quick plan and ask a worker for a better one."""
    lock_with_shared(act, [workorder_pk])
    workorder = lock_open(act, workorder_pk)
    _still_as_planned([workorder], quick)
    return {"pk": store_plan(act, [workorder], quick)[0].pk}


@action("pull.plan_day")
def plan_several(act: Act, *, workorder_pks: Sequence[int], quick: FrozenPull) -> Json:
    """Plan the pull of several cars together; each order carries its share."""
    lock_with_shared(act, workorder_pks)
    workorders = act.lock_all(WorkOrder, workorder_pks)
    if len(workorders) < 2:
        raise Refused(say("Choose two orders or more."), field="workorders")
    for workorder in workorders:
        if workorder.is_closed or workorder.film.code != quick.found.job.film_code:
            raise Refused(
                say("{order} does not take this film.", order=workorder.number),
                field="workorders",
            )
    _still_as_planned(workorders, quick)
    pulls = store_plan(act, workorders, quick)
    return {"pk": pulls[0].pk, "workorder_pk": pulls[0].workorder_id}


def _still_as_planned(workorders: Sequence[WorkOrder], frozen: FrozenPull) -> None:
    """The plan was made before the orders were locked: look again at what it is for."""
    if changed_since(frozen.found, workorders, spoilt=frozen.spoilt):
        raise Refused(say("The order was changed at this moment. Press once more."))


def store_plan(
    act: Act,
    workorders: Sequence[WorkOrder],
    frozen: FrozenPull,
    *,
    searched: bool = False,
) -> list[Pull]:
    """The new plan, a pull for each order; plans that nobody took give way to it."""
    plan = frozen.found.plan
    if not plan.placements:
        raise Refused(*_why_nothing(frozen, film=workorders[0].film.name))
    set_aside(act, workorders)
    cut_plan = CutPlan.objects.create(
        facts=frozen.facts(),
        drawing_svg=frozen.svg,
        searched=searched or plan.proven,
        planned_at=act.now,
    )
    pulls = _pulls_of(cut_plan, workorders, frozen)
    for pull in pulls:
        act.event(
            pull.workorder,
            "pull_improved" if searched else "pull_planned",
            pull=pull,
            planned_mm=pull.planned_mm,
            spoilt=frozen.spoilt,
        )
    if not cut_plan.searched:
        _ring(act, pulls[0])
    return pulls


def _pulls_of(
    cut_plan: CutPlan, workorders: Sequence[WorkOrder], frozen: FrozenPull
) -> list[Pull]:
    """Each order's part: its panels, and its share of the length."""
    plan = frozen.found.plan
    shares = {share.group: share.length_mm for share in plan.shares}
    if len(workorders) == 1:
        shares = {workorders[0].number: plan.length_mm}
    return [
        Pull.objects.create(
            workorder=workorder,
            cut_plan=cut_plan,
            round=workorder.round,
            cut_panels=frozen.found.panels_placed(workorder.number),
            planned_mm=shares.get(workorder.number, 0),
        )
        for workorder in workorders
    ]


def _why_nothing(frozen: FrozenPull, *, film: str) -> list[Say]:
    """Why no panel is in the plan."""
    if not frozen.found.job.panels:
        return [
            say(
                "No panel waits for film: every panel of this round has its film, or "
                "is laid or struck off."
            )
        ]
    if frozen.found.job.is_without_film:
        return [no_film(film=film)]
    return [missing.reason for missing in frozen.found.plan.unplaced]


def _ring(act: Act, pull: Pull) -> None:
    ring(act, "solvers.pull", subject=f"pull {pull.pk}", payload={"pull": pull.pk})


def lock_with_shared(act: Act, workorder_pks: Sequence[int]) -> None:
    """The orders, and those that share a plan with them: it goes for all of them."""
    wanted = set(workorder_pks)
    locked = wanted | _sharing(wanted)
    act.lock_all(WorkOrder, locked)
    if not _sharing(wanted) <= locked:
        raise Refused(say("Somebody has just planned this film. Press once more."))


def _sharing(workorder_pks: set[int]) -> set[int]:
    """Orders of the waiting plans that these orders have a part in."""
    waiting = Pull.objects.filter(workorder__in=workorder_pks, state=State.PLANNED)
    return {row.workorder_id for pull in waiting for row in planned_with(pull)}


def set_aside(act: Act, workorders: Sequence[WorkOrder]) -> None:
    """Waiting plans of these orders, and of the cars that share one with them.

    The other cars' history says so: their film waits to be planned again.
    """
    ours = {workorder.pk for workorder in workorders}
    waiting = Pull.objects.filter(workorder__in=ours, state=State.PLANNED)
    rows = {row.pk: row for pull in waiting for row in planned_with(pull)}
    Pull.objects.filter(pk__in=rows).update(state=State.REPLACED)
    for row in rows.values():
        if row.workorder_id not in ours:
            because = [workorder.number for workorder in workorders]
            act.event(row.workorder, "pull_set_aside", pull=row, because_of=because)


@action("pull.improve")
def improve_pull(act: Act, *, pull_pk: int, searched: FrozenPull) -> Json:
    """Put a searched plan in the place of the quick one, if it is better.

    Nothing happens when the film has been taken, or planned anew, meanwhile.
    """
    workorders, pulls = lock_planned(act, pull_pk)
    if pulls:
        was = pull_from_json(pulls[0].plan)
        changed = changed_since(was, workorders, spoilt=searched.spoilt)
        if not changed and searched.found.is_better_than(was):
            return {"pk": store_plan(act, workorders, searched, searched=True)[0].pk}
        plans = CutPlan.objects.filter(pulls__in=pulls)
        plans.update(searched=True)
    for workorder in workorders:
        act.unchanged(workorder)
    return {"pk": pull_pk}


def lock_planned(act: Act, pull_pk: int) -> tuple[list[WorkOrder], list[Pull]]:
    """The orders of a plan, locked, and its rows if it still waits to be taken."""
    pull = Pull.objects.get(pk=pull_pk)
    orders = {row.workorder_id for row in planned_with(pull)} or {pull.workorder_id}
    locked = act.lock_all(WorkOrder, orders)
    pull.refresh_from_db()
    if pull.state != State.PLANNED:
        return locked, []
    return locked, planned_with(pull)


@action("pull.recut")
def recut_panels(act: Act, *, workorder_pk: int, quick: FrozenPull) -> Json:
    """Plan spoilt panels anew, off-cuts first."""
    lock_with_shared(act, [workorder_pk])
    workorder = lock_open(act, workorder_pk)
    waiting = open_pull(workorder)
    if waiting and not waiting.plan["spoilt"]:
        raise Refused(say("The planned film is not taken yet. Take it first."))
    if never := set(quick.spoilt) - panels_cut(workorder):
        names = {p.panel: p.name for p in quick.found.job.panels}
        raise Refused(
            say(
                "No film was taken for {panel} in this round: plan the pull instead.",
                panel=names[min(never)],
            )
        )
    _still_as_planned([workorder], quick)
    return {"pk": store_plan(act, [workorder], quick)[0].pk}


@action("pull.drop")
def drop_pull(act: Act, *, workorder_pk: int, pull_pk: int) -> None:
    """Put a plan aside that nobody took."""
    lock_with_shared(act, [workorder_pk])
    workorder = lock_open(act, workorder_pk)
    pull = still_planned(workorder, pull_pk)
    set_aside(act, [workorder])
    act.event(workorder, "pull_dropped", pull=pull)


def still_planned(workorder: WorkOrder | None, pull_pk: int) -> Pull:
    """The plan, if it is of this order and still waits to be taken."""
    pull = workorder.pulls.filter(pk=pull_pk).first() if workorder else None
    if pull is None:
        raise Refused(say("This plan is not of this order."))
    if pull.state == State.TAKEN:
        raise Refused(say("The film of this plan has been taken already."))
    if pull.state == State.REPLACED:
        raise Refused(say("This plan was replaced by a later one. Look at that one."))
    return pull
