"""Facts of the work order's paper: what the installer needs, no price, no phone."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.conf import settings
from django.urls import reverse
from django.utils.translation import gettext

from jobs.condition.marks import asks_consent, mark_named
from jobs.condition.reading_queries import conditions_now, named_readings
from jobs.coverage.catalogue import Body, Package, panel_name
from jobs.models import OrderPanel, WorkOrder
from jobs.panels.laying_queries import FIRE, laying_now
from jobs.papers.check_facts import (
    CheckFacts,
    EarlierList,
    SignOff,
    checklist_facts,
    earlier_lists,
    sign_offs,
)
from jobs.papers.facts import Json, ShopFacts, said, shop_facts, to_json
from jobs.papers.film_facts import FilmFacts, film_facts
from jobs.papers.record_facts import (
    AgreedFacts,
    BatchFacts,
    agreed_facts,
    batch_facts,
    still_to_pour,
)
from jobs.papers.red_lines import AgreedMark, red_lines
from jobs.papers.safety_facts import safety_facts
from jobs.returns.queries import faults_of, laid_told, visit_of
from jobs.solutions.queries import sheet_before
from jobs.solutions.sheet_now_queries import sheet_now
from jobs.stages.queries import last_reading
from mixing.sheet.queries import facts_of as kept_sheet


@dataclass(frozen=True, kw_only=True)
class PanelFacts:
    """A panel, how each of its edges is finished, and how far it is."""

    code: str
    name: str
    state: str
    method: str
    edge: str
    badge: str
    seam: str
    note: str
    struck_off: str


@dataclass(frozen=True, kw_only=True)
class ReadingFacts:
    """The reading that the pours go by; panel is the name of the one that was read."""

    air_c: float
    rh_pct: float
    panel_c: float | None
    taken_at: datetime
    panel: str = ""


@dataclass(frozen=True, kw_only=True)
class LayingFacts:
    """What the newest reading means for laying.

    says      what is wrong, worst first; nothing when all is well
    margin_k  how far the panel is above the dew point
    use       slip or gel; "" where it cannot be told
    """

    says: tuple[str, ...] = ()
    margin_k: float | None = None
    use: str = ""


@dataclass(frozen=True, kw_only=True)
class OverrideFacts:
    """A rule, and the reason that was given against it."""

    sentence: str
    reason: str
    by: str
    given_at: datetime


@dataclass(frozen=True, kw_only=True)
class WorkFacts:
    """Added work: what, how long, when in the order."""

    name: str
    minutes: int
    when: str
    is_done: bool


@dataclass(frozen=True, kw_only=True)
class WorkOrderFacts:
    """Everything on the work order."""

    shop: ShopFacts
    number: str
    url: str
    stage: str
    round: int
    plate: str
    vehicle: str
    vin: str
    body: str
    colour: str
    paint: str
    mileage: int | None
    key_tag: str
    order_number: str
    package: str
    place: str
    crew: tuple[str, ...]
    arrived_at: datetime
    promised_at: datetime
    return_of: str
    red_lines: tuple[tuple[str, str], ...]
    panels: tuple[PanelFacts, ...]
    added_work: tuple[WorkFacts, ...]
    film: FilmFacts
    reading: ReadingFacts | None
    sheet: dict[str, Any] | None
    sheet_version: int | None
    sheet_replaces: int | None
    safety: dict[str, Any]
    checklists: tuple[CheckFacts, ...]
    overrides: tuple[OverrideFacts, ...]
    signs: tuple[SignOff, ...]
    earlier: tuple[EarlierList, ...]
    agreed: AgreedFacts
    batches: tuple[BatchFacts, ...]
    laying: LayingFacts = LayingFacts()


def work_order_facts(order: WorkOrder, *, at: datetime) -> Json:
    """The order as it stands, with everything that was computed for it."""
    whole, version = sheet_now(order, at=at)
    sheet = still_to_pour(order, whole)
    version = version if sheet else None
    facts = WorkOrderFacts(
        shop=shop_facts(),
        **_order(order),
        **_car(order),
        red_lines=_red_lines(order),
        panels=tuple(_panel(panel, order) for panel in _panels(order)),
        added_work=_added_work(order),
        film=film_facts(order),
        reading=_reading(order),
        sheet=kept_sheet(sheet) if sheet else None,
        sheet_version=version,
        sheet_replaces=sheet_before(order, version) if version else None,
        safety=safety_facts(order, sheet=whole, at=at),
        checklists=checklist_facts(order),
        overrides=_overrides(order),
        signs=sign_offs(order),
        earlier=earlier_lists(order),
        agreed=agreed_facts(order),
        batches=batch_facts(order),
        laying=_laying(order, at=at),
    )
    return to_json(facts)


def _order(order: WorkOrder) -> dict[str, Any]:
    booking = order.booking
    path = reverse("jobs:workorder_detail", args=[order.pk])
    return {
        "number": order.number,
        "url": settings.PUBLIC_URL.rstrip("/") + path,
        "stage": order.stage,
        "round": order.round,
        "key_tag": order.key_tag,
        "order_number": booking.order_number if booking else "",
        "package": Package(booking.package).value if booking else "",
        "place": str(order.bay or order.place or ""),
        "crew": tuple(str(person) for person in order.crew.all()),
        "arrived_at": order.arrived_at,
        "promised_at": order.promised_at,
        "return_of": str(order.return_of or ""),
    }


def _car(order: WorkOrder) -> dict[str, Any]:
    vehicle = order.vehicle
    return {
        "plate": vehicle.known_by,
        "vehicle": str(vehicle),
        "vin": vehicle.vin,
        "body": vehicle.body,
        "colour": vehicle.colour,
        "paint": vehicle.get_finish_display(),
        "mileage": order.mileage,
    }


def _added_work(order: WorkOrder) -> tuple[WorkFacts, ...]:
    return tuple(
        WorkFacts(
            name=work.name,
            minutes=work.minutes,
            when=work.get_when_display(),
            is_done=work.done_at is not None,
        )
        for work in order.added_work.all()
    )


def _reading(order: WorkOrder) -> ReadingFacts | None:
    reading = last_reading(order)
    if reading is None:
        return None
    return ReadingFacts(
        air_c=reading.air_c,
        rh_pct=reading.rh_pct,
        panel_c=conditions_now(order).panel_c,
        taken_at=reading.taken_at,
        panel=next((name for name, _ in named_readings(order)), ""),
    )


def _laying(order: WorkOrder, *, at: datetime) -> LayingFacts:
    now = laying_now(order, at=at)
    margin = now.climate.margin
    return LayingFacts(
        # What burns stands on the fire line.
        says=tuple(said(s) for s in now.says if not s.text.startswith(FIRE)),
        margin_k=margin.value if margin else None,
        use=now.open_time.use.value if now.open_time.use else "",
    )


def _overrides(order: WorkOrder) -> tuple[OverrideFacts, ...]:
    return tuple(
        OverrideFacts(
            sentence=override.sentence,
            reason=override.reason,
            by=str(override.by or ""),
            given_at=override.at,
        )
        for override in order.overrides.select_related("by")
    )


def _panels(order: WorkOrder) -> list[OrderPanel]:
    return list(order.panels.prefetch_related("looks"))


def _panel(panel: OrderPanel, order: WorkOrder) -> PanelFacts:
    looked = any(look.round >= panel.laid_round for look in panel.looks.all())
    laid = panel.laid_at is not None
    state = "laid" if laid else "ready" if panel.ready_at else "chosen"
    return PanelFacts(
        code=panel.panel,
        name=panel_name(panel.panel, body=Body(order.vehicle.body)),
        state="looked" if laid and looked else state,
        method=panel.method,
        edge=panel.edge,
        badge=panel.badge,
        seam=panel.seam,
        note=panel.note,
        struck_off=panel.struck_off_because if panel.struck_off_at else "",
    )


def _red_lines(order: WorkOrder) -> tuple[tuple[str, str], ...]:
    vehicle, film, body = order.vehicle, order.film, Body(order.vehicle.body)
    lines = red_lines(
        notes=vehicle.notes,
        paint_history=order.booking.paint_history if order.booking else "",
        finish=vehicle.finish,
        film_is_matte=film.finish == film.Finish.MATTE,
        film_is_directional=film.is_directional,
        marks=[
            AgreedMark(
                panel=panel_name(mark.panel, body=body),
                kind=mark_named(mark.kind),
                size_mm=mark.size_mm,
                is_agreed=mark.approved_at is not None,
                is_asked=mark.when == mark.When.INTAKE or asks_consent(mark.kind),
            )
            for mark in order.marks.all()
        ],
    )
    told = tuple((said(line.word), said(line.text)) for line in lines)
    return (*_came_back_for(order), *told)


def _came_back_for(order: WorkOrder) -> tuple[tuple[str, str], ...]:
    """What a return visit is for, and how that film was laid."""
    visit = visit_of(order) if order.return_of_id else None
    faults = faults_of(visit) if visit else []
    return tuple((gettext("Came back"), laid_told(fault)) for fault in faults)
