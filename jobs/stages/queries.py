"""The facts that the rules of the stages ask for."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterable, Sequence
from datetime import datetime
from typing import Any

from django.db.models import prefetch_related_objects

from jobs.condition.marks import mark_named, photos_wanted
from jobs.condition.queries import is_waiting
from jobs.coverage.catalogue import Body, panel_name
from jobs.models import Defect, OrderPanel, OrderSolution, WorkOrder
from jobs.rules.table import Level, Rule, known_levels
from jobs.stages.leaving import FilmLimits, StageFacts
from mixing.laying.queries import laying_settings
from mixing.models import Reading
from mixing.sheet import LayingLimits
from mixing.sheet.input_queries import dew_point_of
from mixing.sheet.queries import kinds_mixed
from shopapp.models import Person, Shop
from shopapp.once import once_a_page


def rule_levels(shop: Shop) -> dict[Rule, Level]:
    """The shop's level of each rule; what is missing falls back to advice."""
    return known_levels(shop.rule_levels)


FACTS = (
    *("marks", "solutions", "defects", "panels__looks", "payments", "final_looks"),
    *("order_readings__reading", "checklists__version__checklist"),
    *("checklists__answers", "checklists__photos"),
)
"""Relations that the facts of an order are read from."""


CAME_BACK_FOR = "booking__return_visit__defects__order_panel"


def read_together(orders: Sequence[WorkOrder]) -> None:
    """Read what the facts of these orders need: the same queries, however many.

    For a page: rows read so are not read again, even after a change.
    """
    prefetch_related_objects(orders, *FACTS)
    back = [order for order in orders if order.return_of_id]
    prefetch_related_objects(back, CAME_BACK_FOR)


def read_readings(workorder: WorkOrder) -> None:
    """Read the readings and panels of an order once, for a page."""
    prefetch_related_objects([workorder], "order_readings__reading", "panels")


@once_a_page
def inspectors() -> frozenset[int]:
    """Those who may inspect."""
    able = Person.objects.filter(is_active=True, can_inspect=True)
    return frozenset(able.values_list("pk", flat=True))


def stage_facts(
    workorder: WorkOrder,
    *,
    now: datetime,
    able: frozenset[int] | None = None,
    mixes: Collection[str] | None = None,
) -> StageFacts:
    """What is known of an order when somebody wants to move it.

    able, mixes  who may inspect, and what the shop mixes, where it is known already
    """
    panels = list(workorder.panels.all())
    prefetch_related_objects(panels, "looks")
    return StageFacts(
        stage=workorder.stage_now,
        now=now,
        paused_because=workorder.paused_because,
        open_items=open_items(workorder),
        walk_round_agreed=bool(workorder.walk_round_agreed),
        film_limits=film_limits(workorder),
        marks_unapproved=tuple(
            mark_named(mark.kind)
            for mark in workorder.marks.all()
            if is_waiting(workorder, mark)
        ),
        solutions_open=tuple(
            solution.get_kind_display()
            for solution in solutions_waiting(workorder, mixes=mixes)
        ),
        defects_outside=_defects_outside(workorder, panels),
        cure_over_at=workorder.cure_over_at,
        final_look_at=_final_look_at(workorder),
        **_of_return(workorder, panels),
        balance_settled=is_settled(workorder),
        hand_over_agreed=bool(workorder.hand_over_agreed),
        **_of_reading(workorder),
        **_of_panels(workorder, panels),
        another_inspector=bool(
            (inspectors() if able is None else able) - _layers(panels)
        ),
    )


def solutions_waiting(
    workorder: WorkOrder, *, mixes: Collection[str] | None = None
) -> list[OrderSolution]:
    """Solutions of this round still to be mixed, of those that the shop mixes."""
    waiting = [
        solution
        for solution in workorder.solutions.all()
        if solution.round == workorder.round
        and solution.state == OrderSolution.State.WAITING
    ]
    if not waiting:
        return []
    here = kinds_mixed() if mixes is None else mixes
    return [solution for solution in waiting if solution.kind in here]


def _defects_outside(workorder: WorkOrder, panels: list[OrderPanel]) -> tuple[str, ...]:
    """Panels with a defect that may not stay."""
    by_pk = {panel.pk: panel for panel in panels}
    return _names(
        workorder,
        (
            by_pk[defect.order_panel_id]
            for defect in workorder.defects.all()
            if defect.outside_standard
            and defect.state in (Defect.State.OPEN, Defect.State.REDO)
        ),
    )


def _of_reading(workorder: WorkOrder) -> dict[str, Any]:
    """The last reading and its dew point."""
    reading = last_reading(workorder)
    if reading is None:
        return {}
    return {
        "panel_c": reading.panel_c,
        "air_c": reading.air_c,
        "rh_pct": reading.rh_pct,
        "dew_point_c": dew_point_of(reading),
    }


def _of_return(workorder: WorkOrder, panels: list[OrderPanel]) -> dict[str, Any]:
    """What the car came back for, and whether film is laid for it."""
    if not workorder.return_of_id:
        return {}
    visit = getattr(workorder.booking, "return_visit", None)
    if visit is None:
        return {}
    prefetch_related_objects([workorder], CAME_BACK_FOR)
    wait = [each for each in visit.defects.all() if each.state == Defect.State.OPEN]
    is_bare = all(panel.struck_off_at for panel in panels)
    return {
        "faults_open": _names(workorder, (each.order_panel for each in wait)),
        "needs_no_film": is_bare and not wait and not workorder.is_closed,
    }


def _layers(panels: Iterable[OrderPanel]) -> set[int]:
    """Those who laid panels that are still on."""
    return {
        panel.laid_by_id
        for panel in panels
        if panel.struck_off_at is None and panel.laid_at and panel.laid_by_id
    }


def _of_panels(workorder: WorkOrder, panels: list[OrderPanel]) -> dict[str, Any]:
    """How far the panels are: ready, laid, looked at, and by whom."""
    on_car = [panel for panel in panels if panel.struck_off_at is None]
    laid = [panel for panel in on_car if panel.laid_at is not None]
    seen = {
        panel.pk: [look for look in panel.looks.all() if look.round >= panel.laid_round]
        for panel in laid
    }
    by_oneself = [
        panel
        for panel in laid
        if seen[panel.pk]
        and all(look.by_id == panel.laid_by_id for look in seen[panel.pk])
    ]
    return {
        "panels_ready": sum(panel.ready_at is not None for panel in on_car),
        "panels_open": _names(workorder, (p for p in on_car if p.laid_at is None)),
        "panels_unseen": _names(workorder, (p for p in laid if not seen[p.pk])),
        "self_inspected": _names(workorder, by_oneself),
    }


def last_reading(workorder: WorkOrder) -> Reading | None:
    """The newest reading tied to the order."""
    ties = list(workorder.order_readings.all())
    prefetch_related_objects(ties, "reading")
    newest = max(ties, key=lambda tie: (tie.reading.taken_at, tie.pk), default=None)
    return newest.reading if newest else None


def laying_limits(workorder: WorkOrder) -> LayingLimits:
    """The panel temperatures that film is laid between: the film maker's, else ours."""
    film = workorder.film
    return laying_settings().limits.of_film(
        panel_min_c=film.panel_min_c, panel_max_c=film.panel_max_c
    )


def film_limits(workorder: WorkOrder) -> FilmLimits:
    """What the film's maker allows."""
    film = workorder.film
    return FilmLimits(
        panel_min_c=film.panel_min_c,
        panel_max_c=film.panel_max_c,
        air_min_c=film.air_min_c,
        air_max_c=film.air_max_c,
        rh_max_pct=film.rh_max_pct,
    )


def open_items(workorder: WorkOrder) -> tuple[str, ...]:
    """Required items of this stage's checklists that have no answer yet."""
    lists = [row for row in workorder.checklists.all() if row.round == workorder.round]
    prefetch_related_objects(lists, "version__checklist", "answers", "photos")
    wanted = workorder.stage_now.row.checklist
    found: list[str] = []
    for row in lists:
        if row.version.checklist.code == wanted:
            photos = Counter(photo.item for photo in row.photos.all())
            answered = {
                answer.item
                for answer in row.answers.all()
                if not photos[answer.item]
                or photos[answer.item] >= photos_wanted(answer.item)
            }
            found += [
                item["text"]
                for item in row.version.items
                if item["is_required"] and item["code"] not in answered
            ]
    return tuple(found)


def is_settled(workorder: WorkOrder) -> bool:
    """Whether nothing is owed: paid, on account, or free of charge."""
    if workorder.on_account or not workorder.price:
        return True
    paid = sum(payment.amount for payment in workorder.payments.all())
    return paid >= workorder.price


def _final_look_at(workorder: WorkOrder) -> datetime | None:
    looks = [
        look for look in workorder.final_looks.all() if look.round == workorder.round
    ]
    return looks[-1].at if looks else None


def _names(workorder: WorkOrder, panels: Iterable[OrderPanel]) -> tuple[str, ...]:
    body = Body(workorder.vehicle.body)
    return tuple(panel_name(panel.panel, body=body) for panel in panels)
