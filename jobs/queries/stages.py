"""The facts that the rules of the stages ask for."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime
from typing import Any

from django.db.models import Max

from jobs.coverage import Body, Package, panel_name
from jobs.cure import CureRule, cure_h, ready_from
from jobs.models import (
    ChecklistAnswer,
    Defect,
    OrderChecklist,
    OrderPanel,
    OrderSolution,
    WorkOrder,
)
from jobs.rules import Level, Rule
from jobs.stages import FilmLimits, Stage, StageFacts
from mixing.models import Reading
from mixing.queries import dew_point_of
from shopapp.figures import Figure, given
from shopapp.models import Person, Shop


def rule_levels(shop: Shop) -> dict[Rule, Level]:
    """The shop's level of each rule; what is missing falls back to advice."""
    return {Rule(code): Level(level) for code, level in shop.rule_levels.items()}


def stage_facts(workorder: WorkOrder, *, now: datetime) -> StageFacts:
    """What is known of an order when somebody wants to move it."""
    return StageFacts(
        stage=workorder.stage_now,
        now=now,
        paused_because=workorder.paused_because,
        open_items=open_items(workorder),
        walk_round_agreed=bool(workorder.walk_round_agreed),
        film_limits=film_limits(workorder),
        marks_unapproved=tuple(
            mark.kind.replace("_", " ")
            for mark in workorder.marks.filter(
                when="after_wash", approved_at__isnull=True
            )
        ),
        solutions_open=tuple(
            solution.get_kind_display()
            for solution in workorder.solutions.filter(
                round=workorder.round, state=OrderSolution.State.WAITING
            )
        ),
        defects_outside=_names(
            workorder,
            (
                defect.order_panel
                for defect in workorder.defects.select_related("order_panel").filter(
                    outside_standard=True,
                    state__in=[Defect.State.OPEN, Defect.State.REDO],
                )
            ),
        ),
        cure_over_at=workorder.cure_over_at,
        final_look_at=_final_look_at(workorder),
        balance_settled=is_settled(workorder),
        hand_over_agreed=bool(workorder.hand_over_agreed),
        **_of_reading(workorder),
        **_of_panels(workorder),
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


def _of_panels(workorder: WorkOrder) -> dict[str, Any]:
    """How far the panels are: ready, laid, looked at, and by whom."""
    panels = workorder.panels.prefetch_related("looks")
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
    layers = [panel.laid_by_id for panel in laid if panel.laid_by_id]
    others = Person.objects.filter(is_active=True, can_inspect=True)
    return {
        "panels_ready": sum(panel.ready_at is not None for panel in on_car),
        "panels_open": _names(workorder, (p for p in on_car if p.laid_at is None)),
        "panels_unseen": _names(workorder, (p for p in laid if not seen[p.pk])),
        "self_inspected": _names(workorder, by_oneself),
        "another_inspector": others.exclude(pk__in=layers).exists(),
    }


def last_reading(workorder: WorkOrder) -> Reading | None:
    """The newest reading tied to the order."""
    tie = (
        workorder.order_readings.select_related("reading")
        .order_by("reading__taken_at", "pk")
        .last()
    )
    return tie.reading if tie else None


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
    lists = OrderChecklist.objects.filter(
        workorder=workorder,
        version__checklist__code=CHECKLIST_OF[workorder.stage_now],
        round=workorder.round,
    ).select_related("version")
    answered = set(
        ChecklistAnswer.objects.filter(order_checklist__in=lists).values_list(
            "order_checklist_id", "item"
        )
    )
    return tuple(
        item["text"]
        for order_list in lists
        for item in order_list.version.items
        if item["is_required"] and (order_list.pk, item["code"]) not in answered
    )


CHECKLIST_OF = {
    Stage.INTAKE: "intake",
    Stage.PREP: "prep",
    Stage.INSTALL: "install",
    Stage.INSPECTION: "inspection",
    Stage.CURE: "final_look",
    Stage.CLOSED: "hand_over",
}


def is_settled(workorder: WorkOrder) -> bool:
    """Whether nothing is owed: paid, on account, or free of charge."""
    if workorder.on_account or not workorder.price:
        return True
    paid = sum(payment.amount for payment in workorder.payments.all())
    return paid >= workorder.price


def _final_look_at(workorder: WorkOrder) -> datetime | None:
    look = workorder.final_looks.filter(round=workorder.round).last()
    return look.at if look else None


def _names(workorder: WorkOrder, panels: Iterable[OrderPanel]) -> tuple[str, ...]:
    body = Body(workorder.vehicle.body)
    return tuple(panel_name(panel.panel, body=body) for panel in panels)


def cure_over_at(workorder: WorkOrder, *, at: datetime) -> datetime:
    """When the car may leave: the film maker's hours, else the shop's rule.

    Counted from the last panel laid in any round, or from `at` where none was.
    """
    last = workorder.panels.filter(struck_off_at__isnull=True).aggregate(
        last=Max("laid_at")
    )["last"]
    return ready_from(laid_at=last or at, hours=cure_hours(workorder).value)


def cure_hours(workorder: WorkOrder) -> Figure:
    """Hours in the shop, with where they come from."""
    if workorder.film.cure_h is not None:
        return given(workorder.film.cure_h, "h", f"maker of {workorder.film}")
    booking = workorder.booking
    reading = last_reading(workorder)
    return cure_h(
        package=Package(booking.package) if booking else Package.SINGLE_PANELS,
        coldest_c=reading.air_c if reading else None,
        rule=CureRule(),
    )
