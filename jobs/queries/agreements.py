"""What the customer is shown to agree to, and what was agreed."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from jobs.agreed_terms import repaint_lines, terms_of
from jobs.coverage import Body, Edge, panel_name, panels
from jobs.marks import FILMING, Severity, mark_kinds
from jobs.models import Agreement, Mark, OrderPanel, WorkOrder
from jobs.queries.marks_waiting import is_waiting
from jobs.queries.money import money_of
from jobs.queries.paint import SEVERITIES
from shopapp.models import the_shop
from shopapp.say import Say


@dataclass(frozen=True, kw_only=True)
class ShownMark:
    """A mark as the customer reads it."""

    mark: Mark
    panel: str

    @property
    def kind(self) -> str:
        """The kind in words."""
        known = mark_kinds().get(self.mark.kind)
        return known.name if known else self.mark.kind.replace("_", " ")

    @property
    def severity(self) -> str:
        """How bad it is."""
        return SEVERITIES.get(Severity(self.mark.severity), "")

    @property
    def filming(self) -> Say | None:
        """What it means for the film."""
        known = mark_kinds().get(self.mark.kind)
        return FILMING[known.film] if known else None


@dataclass(frozen=True, kw_only=True)
class CoveredPanel:
    """A panel to be filmed, and how its edge is finished."""

    row: OrderPanel
    name: str

    @property
    def is_wrapped(self) -> bool:
        """Whether film is turned round its edge."""
        return self.row.edge == Edge.WRAPPED.value


@dataclass(frozen=True, kw_only=True)
class ToAgree:
    """What stands above the signature."""

    panels: list[CoveredPanel]
    film: str
    work: list[str]
    price: Decimal | None
    tax: Decimal
    marks: list[ShownMark]
    repaint: tuple[Say, ...]
    terms: tuple[Say, ...]

    def to_json(self) -> dict[str, Any]:
        """As it is kept with the agreement."""
        return {
            "panels": [[each.row.panel, each.row.edge] for each in self.panels],
            "film": self.film,
            "work": self.work,
            "price": None if self.price is None else str(self.price),
            "currency": the_shop().currency,
            "marks": [each.mark.pk for each in self.marks],
            "repaint": [str(line) for line in self.repaint],
            "terms": [str(line) for line in self.terms],
        }


def to_agree(order: WorkOrder) -> ToAgree:
    """Coverage, price, condition, repaint risk and terms of an order, as they stand."""
    body = Body(order.vehicle.body)
    booking = order.booking
    return ToAgree(
        panels=[
            CoveredPanel(row=row, name=panel_name(row.panel, body=body))
            for row in order.panels.filter(struck_off_at=None)
        ],
        film=str(order.film),
        work=[work.name for work in order.added_work.all()],
        price=order.price,
        tax=money_of(order).tax,
        marks=marks_of(order, when=Mark.When.INTAKE),
        repaint=repaint_lines(booking.paint_history if booking else ""),
        terms=terms_of(the_shop().terms),
    )


def marks_of(order: WorkOrder, *, when: str) -> list[ShownMark]:
    """Marks of one moment, with the panel's name."""
    return [
        _shown(order, mark)
        for mark in order.marks.select_related("photo")
        if mark.when == when
    ]


def marks_to_ask(order: WorkOrder) -> list[ShownMark]:
    """Marks found later whose kind asks consent: they are asked about together."""
    return [
        _shown(order, mark)
        for mark in order.marks.select_related("photo")
        if is_waiting(order, mark)
    ]


def _shown(order: WorkOrder, mark: Mark) -> ShownMark:
    known = mark.panel in panels()
    body = Body(order.vehicle.body)
    name = panel_name(mark.panel, body=body) if known else mark.panel.replace("_", " ")
    return ShownMark(mark=mark, panel=name)


def drop_off_of(order: WorkOrder) -> Agreement | None:
    """How the drop-off was agreed: the newest yes."""
    agreements = order.agreements.select_related("signature", "by")
    return agreements.filter(about=Agreement.About.DROP_OFF).last()
