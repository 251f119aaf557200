"""A car that was filmed and handed over, for the tests of its coming back."""

from __future__ import annotations

from datetime import timedelta

from django.utils import timezone

from jobs.models import Defect, ReturnVisit, WorkOrder
from jobs.panels.actions import lay_panel, make_all_ready
from jobs.returns.actions import begin_return
from jobs.returns.settle_actions import settle_fault
from jobs.solutions.actions import make_sheet, record_mix
from jobs.stages.table import Stage
from jobs.workorders.actions import advance_stage
from mixing.models import Vessel
from mixing.sheet.queries import sheet_of
from tests.jobs.pull_steps import plan, take
from tests.jobs.taps import do
from tests.makers import make_bench, make_film, make_reading, make_roll, make_workorder


def handed_over(by, *, days_ago: int = 10, mixed: bool = True) -> WorkOrder:
    """A full front, laid from roll R1 with slip of the bench, gone since then."""
    film = make_film()
    roll = make_roll(film)
    roll.lot = "L-77"
    roll.save()
    order = make_workorder(stage=Stage.PREP, at=timezone.now() - timedelta(days=11))
    do(by, make_all_ready, workorder_pk=order.pk)
    WorkOrder.objects.filter(pk=order.pk).update(stage=Stage.INSTALL)
    order.refresh_from_db()
    make_reading(order, by, panel_c=16.0)
    if mixed:
        make_bench()
        _mix(order, by)
    take(plan(order, by), by)
    for panel in order.panels.all():
        do(by, lay_panel, workorder_pk=order.pk, panel_pk=panel.pk)
    WorkOrder.objects.filter(pk=order.pk).update(
        stage=Stage.CLOSED.value,
        bay=None,
        place=None,
        handed_over_at=timezone.now() - timedelta(days=days_ago),
        recheck_at=timezone.now() - timedelta(days=1),
    )
    order.refresh_from_db()
    return order


def _mix(order, by) -> None:
    facts = {"workorder_pk": order.pk, "kind": "slip"}
    answer = do(by, make_sheet, vessels=[Vessel.objects.get(code="S1")], **facts)
    row = order.sheets.get(pk=answer["pk"])
    (solution,) = sheet_of(row.facts).solutions
    poured = [[pour.amount.value for pour in solution.fills[0].pours]]
    do(by, record_mix, version=row.version, poured=poured, **facts)


def begin(by, order, *, panels=("front_bumper",), kind="lifted_edge", **more):
    """It came back, and is here."""
    answer = do(
        by,
        begin_return,
        workorder_pk=order.pk,
        panels=list(panels),
        kind=kind,
        **more,
    )
    pk = answer["pk"]
    return WorkOrder.objects.get(pk=pk) if pk else answer["booking_pk"]


def settle(by, order, outcome, *, defect=None, **more) -> Defect:
    """Say what is done about a thing, or about the only one."""
    found = defect or ReturnVisit.objects.get(booking=order.booking_id).defects.get()
    do(
        by,
        settle_fault,
        workorder_pk=order.pk,
        defect_pk=found.pk,
        outcome=outcome,
        **more,
    )
    found.refresh_from_db()
    return found


def lay(by, back) -> None:
    """New film on all that is to be filmed."""
    do(by, advance_stage, workorder_pk=back.pk, to=Stage.PREP)
    do(by, make_all_ready, workorder_pk=back.pk)
    do(by, advance_stage, workorder_pk=back.pk, to=Stage.INSTALL)
    for panel in back.panels.filter(struck_off_at=None):
        do(by, lay_panel, workorder_pk=back.pk, panel_pk=panel.pk)
