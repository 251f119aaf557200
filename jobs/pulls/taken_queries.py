"""Film that was taken for an order, in all its rounds: rolls, lots, real lengths."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from jobs.coverage.catalogue import Body, panel_name
from jobs.film.lots import another_lot, lots_on_car
from jobs.models import FilmMovement, OffCut, Pull, Roll, WorkOrder
from jobs.nesting import PullPlan
from jobs.pulls.queries import lots_taken
from jobs.pulls.shown_queries import PullShown, pull_shown
from shopapp.say import Say

What = FilmMovement.What


@dataclass(frozen=True, kw_only=True)
class Source:
    """A roll or off-cut that film came from.

    length_mm  really taken off the roll; of the off-cut, its own
    ended      the roll was empty after it
    """

    kind: str
    code: str
    lot: str
    location: str
    width_mm: int
    length_mm: int
    ended: bool = False


@dataclass(frozen=True, kw_only=True)
class FilmTaken:
    """Film that was taken at one time.

    shown  its plan; None where it was taken without one
    """

    row: Pull
    sources: tuple[Source, ...]
    panels: tuple[str, ...]
    shown: PullShown | None


def film_taken(order: WorkOrder) -> list[FilmTaken]:
    """Every pull of an order whose film was taken, the newest first."""
    rows = order.pulls.filter(state=Pull.State.TAKEN).select_related("cut_plan")
    moved = order.movements.exclude(pull=None).select_related("roll", "offcut")
    by_pull: dict[int, list[FilmMovement]] = {}
    for movement in moved.order_by("pk"):
        by_pull.setdefault(movement.pull_id or 0, []).append(movement)
    body = Body(order.vehicle.body)
    return [
        FilmTaken(
            row=row,
            sources=tuple(_sources(by_pull.get(row.pk, []))),
            panels=tuple(panel_name(code, body=body) for code in row.cut_panels),
            shown=pull_shown(row) if row.cut_plan_id else None,
        )
        for row in rows
    ]


def _sources(moved: Sequence[FilmMovement]) -> Iterable[Source]:
    """Off-cuts first, as they are cut first; then the rolls."""
    for movement in moved:
        if movement.what == What.OFFCUT_USED and movement.offcut:
            offcut = movement.offcut
            yield _source(
                offcut, kind="off-cut", lot=offcut.roll.lot, mm=offcut.length_mm
            )
    ended = {m.roll_id for m in moved if m.what == What.COUNTED}
    for movement in moved:
        if movement.what == What.PULLED:
            roll = movement.roll
            yield _source(
                roll,
                kind="roll",
                lot=roll.lot,
                mm=-movement.change_mm,
                ended=roll.pk in ended,
            )


def _source(
    row: Roll | OffCut, *, kind: str, lot: str, mm: int, ended: bool = False
) -> Source:
    return Source(
        kind=kind,
        code=row.code,
        lot=lot,
        location=row.location,
        width_mm=row.width_mm,
        length_mm=mm,
        ended=ended,
    )


def wound_back(order: WorkOrder) -> list[tuple[str, int]]:
    """Rolls that got film of this order back, with how much."""
    found: dict[str, int] = {}
    for movement in order.movements.filter(what=What.RETURNED).select_related("roll"):
        code = movement.roll.code
        found[code] = found.get(code, 0) + movement.change_mm
    return list(found.items())


def lots_said(order: WorkOrder, plan: PullPlan | None) -> Say | None:
    """What is to be said of the lots on this car, with the plan that waits."""
    finish, on_car = order.film.finish, lots_taken(order)
    if plan is None:
        return lots_on_car(finish=finish, lots=on_car)
    return another_lot(finish=finish, on_car=on_car, wanted=_lots_of(plan))


def _lots_of(plan: PullPlan) -> dict[str, str]:
    rolls = Roll.objects.filter(code__in=[pull.roll_id for pull in plan.pulls])
    offcuts = OffCut.objects.filter(code__in=plan.used_offcuts)
    return dict(offcuts.values_list("code", "roll__lot")) | dict(
        rolls.values_list("code", "lot")
    )
