"""Pouring from another container than the sheet proposes: worked out anew."""

from __future__ import annotations

from dataclasses import replace

from jobs.condition.reading_actions import lock_open
from jobs.solutions.bottle_queries import left_in
from jobs.solutions.queries import codes_of, mix_request, solution_in
from jobs.solutions.sheet_actions import keep_sheet
from mixing.models import StockContainer, Substance, Vessel
from mixing.sheet import SheetRequest, mixing_sheet
from mixing.sheet.input_queries import SHEET_SUBSTANCES, container_for_sheet
from mixing.sheet.queries import sheet_of
from mixing.shelf.actions import today_of
from shopapp.frame import Act, Json, Refused, action
from shopapp.say import say


@action("mix.pour_from")
def pour_from(
    act: Act, *, workorder_pk: int, version: int, kind: str, container: StockContainer
) -> Json:
    """The same vessels, poured from this container; an unopened one is opened by it.

    version  the sheet that was begun
    """
    workorder = lock_open(act, workorder_pk)
    begun = workorder.sheets.filter(version=version).first()
    if begun is None or kind not in begun.recipe_versions:
        raise Refused(say("This sheet is not there any more. Begin the mix again."))
    before = sheet_of(begun.facts)
    codes = codes_of(before, kind)
    vessels = list(Vessel.objects.filter(code__in=codes).order_by("code"))
    container = act.lock(StockContainer, container.pk)
    if container.opened_on is None:
        container.opened_on = today_of(act)
        container.save(update_fields=["opened_on"])
    request = mix_request(
        workorder,
        kind=kind,
        vessels=vessels,
        at=act.now,
        left_ml=left_in(before),
    )
    sheet = mixing_sheet(_only(request, container, act))
    solution = solution_in(sheet, kind)
    if solution.refusal is not None:
        raise Refused(solution.refusal, field="code")
    row, is_new = keep_sheet(act, workorder, sheet)
    if is_new:
        act.event(workorder, "sheet", sheet=row, version=row.version, kind=kind)
    else:
        act.unchanged(workorder)
    return {"pk": row.pk, "version": row.version}


def _only(request: SheetRequest, container: StockContainer, act: Act) -> SheetRequest:
    """Nothing else of this substance is poured from."""
    substance = SHEET_SUBSTANCES[Substance(container.chemical.substance)]
    chosen = container_for_sheet(container, on=today_of(act))
    others = tuple(each for each in request.stock if each.substance != substance)
    return replace(request, stock=(*others, chosen))
