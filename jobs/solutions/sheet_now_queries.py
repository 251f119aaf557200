"""The mixing sheet of an order: as planned, with what was really mixed in its place."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from datetime import datetime

from jobs.models import OrderSolution, WorkOrder
from jobs.solutions.queries import newest_sheet
from jobs.solutions.request_queries import (
    panels_to_lay,
    sheet_request,
    versions_of_order,
)
from mixing.sheet import (
    MixingSheet,
    SolutionKind,
    SolutionSheet,
    StripPour,
    Use,
    mixing_sheet,
    reading_problems,
    request_problems,
    sheet_today,
    together,
)
from mixing.sheet.queries import sheet_of, solution_of


def sheet_now(
    order: WorkOrder, *, at: datetime
) -> tuple[MixingSheet | None, int | None]:
    """The sheet of all solutions, and the version it was kept as, if it was.

    Only its pours are as they were kept; the rest follows the newest reading.

    A sheet kept for a guided mix covers one solution only and is no plan of the job.
    Nothing where no panel is left to lay, no recipe is in use, or a reading cannot be.
    """
    kinds = versions_of_order(order)
    request = sheet_request(order, at=at)
    if reading_problems(request.conditions):
        return None, None
    if kept := newest_sheet(order, kinds=kinds):
        sheet = sheet_today(sheet_of(kept.facts), request=request)
        return as_mixed(order, sheet), kept.version
    if not panels_to_lay(order) or not kinds:
        return None, None
    if request_problems(request):
        return None, None
    return as_mixed(order, mixing_sheet(request)), None


def as_mixed(order: WorkOrder, sheet: MixingSheet) -> MixingSheet:
    """The sheet with the batches of this round in place of their plans.

    What was said to be not needed is left out, and gel where nothing asks for it.
    """
    ties = order.order_batches.filter(round=order.round).select_related("batch")
    mixed: dict[str, list[SolutionSheet]] = {}
    for tie in ties:
        mixed.setdefault(tie.batch.kind, []).append(solution_of(tie.batch))
    dropped = set(
        order.solutions.filter(
            round=order.round, state=OrderSolution.State.NOT_NEEDED
        ).values_list("kind", flat=True)
    )
    if sheet.open_time.use in (None, Use.SLIP):
        dropped.add(SolutionKind.GEL.value)
    return replace(
        sheet,
        solutions=tuple(
            together(
                batches, planned=solution, recipe=sheet.request.recipe_of(solution.kind)
            )
            if (batches := mixed.get(solution.kind.value))
            else solution
            for solution in sheet.solutions
            if solution.kind.value not in dropped or solution.kind.value in mixed
        ),
        strip=tuple(
            replace(column, pours=_wanted(column.pours, dropped))
            for column in sheet.strip
        ),
    )


def _wanted(pours: Iterable[StripPour], dropped: set[str]) -> tuple[StripPour, ...]:
    return tuple(pour for pour in pours if pour.kind.value not in dropped)
