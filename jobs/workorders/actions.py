"""Moving a car: stages, pause, place, crew, promise."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime

from jobs.air.actions import keep_air
from jobs.cure.queries import cure_over_at
from jobs.models import (
    ChecklistVersion,
    OrderChecklist,
    OrderSolution,
    Override,
    WorkOrder,
)
from jobs.rules.table import Rule
from jobs.stages.leaving import overridden, reasons_not_to_move
from jobs.stages.queries import rule_levels, stage_facts
from jobs.stages.table import CLOSED, May, Stage, is_redo
from mixing.sheet.queries import kinds_in_use
from shopapp.frame import Act, Refused, action
from shopapp.models import Bay, Person, Place, the_shop
from shopapp.say import say
from shopapp.telling import tell


@action("workorder.advance")
def advance_stage(
    act: Act, *, workorder_pk: int, to: Stage, reasons: Mapping[str, str] | None = None
) -> None:
    """Move a work order to another stage, or refuse with the rules' sentences.

    reasons  what was written against rules of the level "reason", by rule code
    """
    workorder = act.lock(WorkOrder, workorder_pk)
    if to.is_closed:
        raise Refused(say("A car leaves by its hand-over page."))
    written = hear_the_rules(act, workorder, to=to, reasons=reasons or {})
    came_from = workorder.stage_now
    if is_redo(came_from, to=to):
        workorder.round += 1
    enter(workorder, to=to, at=act.now)
    act.event(
        workorder,
        "stage",
        came_from=came_from,
        went_to=to,
        round=workorder.round,
        overridden=written,
    )


def hear_the_rules(
    act: Act, workorder: WorkOrder, *, to: Stage, reasons: Mapping[str, str]
) -> dict[str, str]:
    """Refuse the move with the rules' sentences, or keep the reasons written."""
    facts = stage_facts(workorder, now=act.now)
    shop = the_shop()
    levels = rule_levels(shop)
    given = {Rule(code): text for code, text in reasons.items()}
    if why_not := reasons_not_to_move(facts, to=to, levels=levels, given=given):
        raise Refused(*why_not)
    for concern in overridden(facts, to=to, levels=levels, given=given):
        Override.objects.create(
            workorder=workorder,
            rule=concern.rule.value,
            reason=given[concern.rule].strip(),
            sentence=tell(concern.sentence, system=shop.system),
            by=act.by,
            at=act.now,
        )
    return {rule.value: text for rule, text in given.items() if text.strip()}


def enter(workorder: WorkOrder, *, to: Stage, at: datetime) -> None:
    """Write the new stage: its clock, its checklist, a new round's solutions."""
    workorder.stage = to.value
    workorder.stage_since = at
    if to.may(May.SETTLE):
        start_cure(workorder, at=at)
    workorder.save()
    attach_checklist(workorder)
    if to.may(May.LAY):
        await_solutions(workorder)


def attach_checklist(workorder: WorkOrder) -> None:
    """Give the order the newest version of its stage's checklist, once a round."""
    code = workorder.stage_now.row.checklist
    known = workorder.checklists.filter(
        version__checklist__code=code, round=workorder.round
    )
    newest = ChecklistVersion.objects.filter(
        checklist__code=code, checklist__in_use=True
    ).first()
    if newest and not known.exists():
        OrderChecklist.objects.create(
            workorder=workorder, version=newest, round=workorder.round
        )


def await_solutions(workorder: WorkOrder) -> None:
    """Name the solutions that this round waits for: the recipes in use."""
    for kind in kinds_in_use():
        OrderSolution.objects.get_or_create(
            workorder=workorder, kind=kind, round=workorder.round
        )


def start_cure(workorder: WorkOrder, *, at: datetime) -> None:
    """Start the cure time; it is counted in elapsed time."""
    workorder.cure_began_at = at
    workorder.cure_over_at = cure_over_at(workorder, at=at)


@action("workorder.pause")
def pause_job(act: Act, *, workorder_pk: int, because: str) -> None:
    """Let a job wait, with the reason."""
    workorder = act.lock(WorkOrder, workorder_pk)
    if workorder.is_closed:
        raise Refused(say("This order is closed."))
    if not because.strip():
        raise Refused(say("Say what the job waits for."), field="because")
    workorder.paused_at = act.now
    workorder.paused_because = because.strip()
    workorder.save(update_fields=["paused_at", "paused_because"])
    act.event(workorder, "paused", because=workorder.paused_because)


@action("workorder.resume")
def resume_job(act: Act, *, workorder_pk: int) -> None:
    """Go on with a paused job."""
    workorder = act.lock(WorkOrder, workorder_pk)
    if not workorder.is_paused:
        raise Refused(say("This job is not paused."))
    workorder.paused_at = None
    workorder.paused_because = ""
    workorder.save(update_fields=["paused_at", "paused_because"])
    act.event(workorder, "resumed")


@action("workorder.place")
def place_car(
    act: Act, *, workorder_pk: int, bay: Bay | None = None, place: Place | None = None
) -> None:
    """Say where the car stands: in a bay, or at another place."""
    workorder = act.lock(WorkOrder, workorder_pk)
    if (bay is None) == (place is None):
        raise Refused(say("Choose a bay or a place."))
    if bay:
        free_bay(act, bay_pk=bay.pk, for_order=workorder)
    workorder.bay = bay
    workorder.place = place
    workorder.save(update_fields=["bay", "place"])
    act.event(workorder, "placed", bay=bay, place=place)
    keep_air(workorder, at=act.now)


def free_bay(act: Act, *, bay_pk: int, for_order: WorkOrder) -> None:
    """Refuse a bay that holds another car. Locked: two cars may arrive at once."""
    bay = act.lock(Bay, bay_pk)
    held = bay.workorders.exclude(stage=CLOSED.value)
    if other := held.exclude(pk=for_order.pk).first():
        raise Refused(
            say(
                "{bay} holds {other}. Move that car first.",
                bay=bay.name,
                other=other.number,
            ),
            field="bay",
        )


@action("workorder.crew")
def set_crew(act: Act, *, workorder_pk: int, people: list[Person]) -> None:
    """Say who works on the car."""
    workorder = act.lock(WorkOrder, workorder_pk)
    workorder.crew.set(people)
    act.event(workorder, "crew", people=people)
