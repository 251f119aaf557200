"""Keeping mixing sheets: each is frozen, and names the one it replaces."""

from __future__ import annotations

from jobs.models import OrderBatch, OrderSheet, WorkOrder
from jobs.solutions.queries import (
    newest_sheet,
    same_sheet,
    versions_of,
    what_changed,
)
from jobs.solutions.request_queries import panels_to_lay, sheet_request
from jobs.stages.queries import last_reading
from jobs.stages.table import May
from mixing.sheet import MixingSheet, mixing_sheet, request_problems
from mixing.sheet.queries import facts_of, sheet_of
from shopapp.frame import Act


def keep_sheet(
    act: Act, workorder: WorkOrder, sheet: MixingSheet
) -> tuple[OrderSheet, bool]:
    """The stored sheet, and whether it is a new one.

    The same sheet again is the one that is there, unless a batch was mixed by it.
    """
    kinds = [solution.kind.value for solution in sheet.solutions]
    last = newest_sheet(workorder, kinds=kinds)
    if (
        last is not None
        and same_sheet(last, sheet)
        and not OrderBatch.objects.filter(sheet=last).exists()
    ):
        return last, False
    newest = workorder.sheets.order_by("-version").only("version").first()
    row = OrderSheet.objects.create(
        workorder=workorder,
        version=newest.version + 1 if newest else 1,
        round=workorder.round,
        reading=last_reading(workorder),
        recipe_versions={k: v.pk for k, v in versions_of(sheet).items()},
        facts=facts_of(sheet),
        made_at=act.now,
    )
    return row, True


def keep_whole_sheet(act: Act, workorder: WorkOrder) -> OrderSheet | None:
    """Keep the sheet of all solutions as things stand, while panels are left to lay.

    One that still holds stays: a sheet is good until a pour changes by a graduation.
    The caller has locked the order. Nothing where no sheet can be worked out yet.
    """
    to_lay = [panel for panel in panels_to_lay(workorder) if panel.laid_at is None]
    if not workorder.stage_now.may(May.READ) or not to_lay:
        return None
    request = sheet_request(workorder, at=act.now)
    if request_problems(request):
        return None
    kinds = [recipe.kind.value for recipe in request.recipes]
    held = newest_sheet(workorder, kinds=kinds)
    if held and not any(what_changed(held, sheet_of(held.facts), request)):
        return held
    row, is_new = keep_sheet(act, workorder, mixing_sheet(request))
    if is_new:
        act.event(workorder, "sheet", sheet=row, version=row.version, kind="")
    return row
