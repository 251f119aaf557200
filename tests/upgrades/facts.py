"""What an upgrade may not change: the facts of a kept base, told by its rows.

`told()` is run by the release that made the base, and its answer is kept beside it.
A later release must tell the same of the migrated base: where it holds a fact in
another table or field, the fact here is asked there.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable
from decimal import Decimal
from typing import Any

from django.db.models import Count, QuerySet, Sum

from jobs.models import (
    AddedWork,
    Booking,
    BookingPanel,
    ChecklistAnswer,
    CustomerLink,
    Defect,
    FilmMovement,
    FilmReservation,
    FinalLook,
    Mark,
    MeasuredPanel,
    OffCut,
    OrderBatch,
    OrderPanel,
    OrderPrepUse,
    OrderReading,
    Override,
    PaintReading,
    PanelLook,
    Paper,
    Payment,
    Pull,
    Roll,
    Vehicle,
    WorkOrder,
    WorkOrderEvent,
)
from mixing.models import (
    Batch,
    Fill,
    FlashPoint,
    Pour,
    RecipeVersion,
    RuleSetVersion,
    StockContainer,
    StockMovement,
    Vessel,
    WaterTest,
)
from shopapp.models import Person, StoredFile, the_shop

Told = dict[str, str]


def _each(rows: QuerySet[Any], *names: str) -> Told:
    """The rows by their first value."""
    found = {}
    for key, *values in rows.values_list(*names):
        found[str(key)] = " ".join(_text(value) for value in values)
    return found


def _text(value: Any) -> str:
    if isinstance(value, float):
        return f"{value:.6g}"
    if isinstance(value, Decimal):
        return f"{value:.2f}"
    return value.isoformat() if hasattr(value, "isoformat") else str(value)


def _sums(rows: QuerySet[Any], key: str, value: str) -> Told:
    return _each(rows.order_by().values(key).annotate(sum=Sum(value)), key, "sum")


def _counts(rows: QuerySet[Any], *keys: str) -> Told:
    counted = Counter(" ".join(map(_text, row)) for row in rows.values_list(*keys))
    return {key: str(number) for key, number in counted.items()}


def _many(rows: Iterable[tuple[Any, ...]]) -> Told:
    """Each row once, however many there are of it."""
    counted = Counter(" ".join(map(_text, row)) for row in rows)
    return {key: str(number) for key, number in counted.items()}


def _coverage() -> Told:
    names = ("booking_id", "panel", "method", "edge", "badge", "seam")
    return _many(BookingPanel.objects.values_list(*names))


def _panels_laid() -> Told:
    rows = OrderPanel.objects.filter(laid_at__isnull=False)
    names = ("workorder__number", "panel", "laid_round", "laid_by__username", "laid_at")
    return _many(rows.values_list(*names))


def _laid_with() -> Told:
    names = ("workorder__number", "panel", "batches__number", "pull_id", "reading_id")
    return _many(OrderPanel.objects.values_list(*names))


def _papers() -> Told:
    names = ("number", "version", "kind", "size", "state", "pages", "file__sha256")
    return _many(Paper.objects.values_list(*names))


def _events() -> Told:
    rows = WorkOrderEvent.objects.order_by()
    rows = rows.values("workorder__number", "what").annotate(number=Count("pk"))
    return _many(rows.values_list("workorder__number", "what", "number"))


def _defects() -> Told:
    names = ("workorder__number", "order_panel__panel", "kind", "state", "round")
    return _many(Defect.objects.values_list(*names))


def _looks() -> Told:
    names = ("order_panel__workorder__number", "order_panel__panel", "by__username")
    return _many(PanelLook.objects.values_list(*names))


def _stages() -> Told:
    names = ("number", "stage", "round", "paused_because", "promised_at", "price")
    return _each(WorkOrder.objects.all(), *names)


def _prices() -> Told:
    names = ("pk", "package", "state", "price", "deposit", "promised_at")
    return _each(Booking.objects.all(), *names)


def _strengths() -> Told:
    names = ("number", "kind", "volume_ml", "vv_pct", "soap_ml", "mixed_at")
    return _each(Batch.objects.all(), *names)


def _poured() -> Told:
    names = ("batch__number", "step", "substance", "planned_ml", "poured_ml", "vessels")
    return _many(Pour.objects.values_list(*names))


def _marks() -> Told:
    names = ("workorder__number", "when", "panel", "kind", "photo__sha256")
    return _many(Mark.objects.values_list(*names))


def _pulls() -> Told:
    names = ("workorder__number", "round", "state", "planned_mm", "taken_mm")
    return _many(Pull.objects.values_list(*names))


def _rules() -> Told:
    return {code: str(level) for code, level in the_shop().rule_levels.items()}


def _people() -> Told:
    names = ("username", "is_manager", "is_desk", "is_installer", "can_inspect")
    return _each(Person.objects.all(), *names)


def _answers() -> Told:
    names = ("order_checklist__workorder__number", "item", "ticked", "number", "text")
    return _many(ChecklistAnswer.objects.values_list(*names))


def _added_work() -> Told:
    names = ("workorder__number", "booking_id", "name", "minutes", "price", "done_at")
    return _many(AddedWork.objects.values_list(*names))


def _links() -> Told:
    names = ("token_hash", "workorder__number", "expires_at")
    return _each(CustomerLink.objects.all(), *names)


def _vehicles() -> Told:
    names = ("pk", "plate", "vin", "make", "model", "year", "customer__name")
    return _each(Vehicle.objects.all(), *names)


FACTS: dict[str, Callable[[], Told]] = {
    "film left on each roll": lambda: _each(Roll.objects.all(), "code", "left_mm"),
    "sum of each roll's movements": lambda: _sums(
        FilmMovement.objects.all(), "roll__code", "change_mm"
    ),
    "off-cuts on the shelf": lambda: _each(
        OffCut.objects.filter(used_at=None, scrapped_at=None),
        *("code", "length_mm", "width_mm"),
    ),
    "film held for bookings": lambda: _each(
        FilmReservation.objects.all(), "booking_id", "length_mm", "released_at"
    ),
    "film planned and taken": _pulls,
    "bookings and their prices": _prices,
    "coverage agreed": _coverage,
    "added work": _added_work,
    "paid on each order": lambda: _sums(
        Payment.objects.all(), "workorder__number", "amount"
    ),
    "where each order stands": _stages,
    "panels laid": _panels_laid,
    "what each panel was laid with": _laid_with,
    "panels looked at": _looks,
    "defects": _defects,
    "marks": _marks,
    "paint gauged": lambda: _many(
        PaintReading.objects.values_list("workorder__number", "panel", "thickness_um")
    ),
    "checklist answers": _answers,
    "final looks": lambda: _many(
        FinalLook.objects.values_list("workorder__number", "outcome", "at")
    ),
    "reasons against rules": lambda: _many(
        Override.objects.values_list("workorder__number", "rule", "reason", "sentence")
    ),
    "events of each order": _events,
    "readings of each order": lambda: _many(
        OrderReading.objects.values_list(
            *("workorder__number", "reading__air_c", "reading__rh_pct"),
            *("reading__panel_c", "reading__taken_at"),
        )
    ),
    "batches and their strengths": _strengths,
    "what was poured": _poured,
    "batches of each order": lambda: _many(
        OrderBatch.objects.values_list("workorder__number", "batch__number", "round")
    ),
    "what each vessel held": lambda: _many(
        Fill.objects.values_list(
            *("vessel__code", "batch__number", "volume_ml", "left_ml", "emptied_at")
        )
    ),
    "vessels": lambda: _each(Vessel.objects.all(), "code", "kind", "usable_ml"),
    "stock left": lambda: _each(
        StockContainer.objects.all(),
        *("code", "chemical__name", "left_ml", "opened_on", "expires_on"),
    ),
    "sum of each container's movements": lambda: _sums(
        StockMovement.objects.all(), "container__code", "change_ml"
    ),
    "recipes in versions": lambda: _many(
        RecipeVersion.objects.values_list("recipe__name", "number", "why")
    ),
    "water tests": lambda: _many(
        WaterTest.objects.values_list("source", "tds_mg_per_l", "hardness_mg_per_l")
    ),
    "flash points measured": lambda: _many(
        FlashPoint.objects.values_list("vv_pct", "flash_point_c", "measured_by")
    ),
    "safety rules of the shop's own": lambda: _many(
        RuleSetVersion.objects.values_list("rule_set__name", "number", "why")
    ),
    "prep chemicals used": lambda: _many(
        OrderPrepUse.objects.values_list(
            "workorder__number", "chemical__name", "litres"
        )
    ),
    "panels measured": lambda: _many(
        MeasuredPanel.objects.values_list("panel", "model", "length_mm", "width_mm")
    ),
    "papers and their bytes": _papers,
    "files by their hash": lambda: _counts(StoredFile.objects.all(), "sha256"),
    "customers' links": _links,
    "cars and owners": _vehicles,
    "people and roles": _people,
    "levels of the rules": _rules,
}
"""Each fact by what it is called."""


def told() -> dict[str, Told]:
    """Every fact of the base that is open."""
    return {name: dict(sorted(ask().items())) for name, ask in FACTS.items()}
