"""What the customer is shown to agree to, and what was agreed."""

from __future__ import annotations

from dataclasses import dataclass, replace
from decimal import Decimal
from typing import Any

from jobs.condition.marks import FILMING, Severity, mark_kinds, mark_named
from jobs.condition.queries import SEVERITIES, is_waiting
from jobs.condition.terms import repaint_lines, terms_of
from jobs.coverage.catalogue import Body, Edge, panel_name, panels
from jobs.models import Agreement, Mark, OrderPanel, WorkOrder
from jobs.money.queries import money_of
from shopapp.documents import Document
from shopapp.models import the_shop
from shopapp.say import Say, say

AGREED = Document(kind="agreement")


@dataclass(frozen=True, kw_only=True)
class ShownMark:
    """A mark as the customer reads it."""

    mark: Mark
    panel: str

    @property
    def kind(self) -> str:
        """The kind in words."""
        return mark_named(self.mark.kind)

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
        shown = {
            "panels": [[each.row.panel, each.row.edge] for each in self.panels],
            "film": self.film,
            "work": self.work,
            "price": None if self.price is None else str(self.price),
            "currency": the_shop().currency,
            "marks": [each.mark.pk for each in self.marks],
            "repaint": [str(line) for line in self.repaint],
            "terms": [str(line) for line in self.terms],
        }
        return AGREED.stamp(shown)


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


def as_agreed(order: WorkOrder, agreed: Agreement | None) -> ToAgree:
    """What stood above the yes when it was given; before it, what stands now."""
    now = to_agree(order)
    if agreed is None or not agreed.shown:
        return now
    kept = AGREED.upgrade(agreed.shown)
    return replace(
        now,
        panels=_panels_agreed(order, kept["panels"]),
        film=kept["film"],
        work=kept["work"],
        price=None if kept["price"] is None else Decimal(kept["price"]),
        tax=now.tax if kept["price"] == str(now.price) else Decimal(0),
        marks=[each for each in shown_marks(order) if each.mark.pk in kept["marks"]],
        repaint=_as_said(kept["repaint"]),
        terms=_as_said(kept["terms"]),
    )


def _as_said(lines: list[str]) -> tuple[Say, ...]:
    return tuple(say("{line}", line=line) for line in lines)


def _panels_agreed(order: WorkOrder, kept: list[list[str]]) -> list[CoveredPanel]:
    body = Body(order.vehicle.body)
    rows = {row.panel: row for row in order.panels.all()}
    covered = []
    for code, edge in kept:
        # As it was agreed; never saved.
        row = rows.get(code) or OrderPanel(panel=code)
        row.edge = edge
        covered.append(CoveredPanel(row=row, name=_panel_named(code, body=body)))
    return covered


def marks_of(order: WorkOrder, *, when: str) -> list[ShownMark]:
    """Marks of one moment, with the panel's name."""
    return [shown for shown in shown_marks(order) if shown.mark.when == when]


def shown_marks(order: WorkOrder) -> list[ShownMark]:
    """Every mark of the order, with the panel's name."""
    return [as_shown(order, mark) for mark in order.marks.select_related("photo")]


def marks_to_ask(order: WorkOrder) -> list[ShownMark]:
    """Marks found later whose kind asks consent: they are asked about together."""
    return [each for each in shown_marks(order) if is_waiting(order, each.mark)]


def marks_to_tell(order: WorkOrder) -> list[ShownMark]:
    """Marks written down since the customer agreed that nobody is asked about."""
    if not order.walk_round_agreed:
        return []
    return [
        each
        for each in shown_marks(order)
        if each.mark.approved_at is None and not is_waiting(order, each.mark)
    ]


def as_shown(order: WorkOrder, mark: Mark) -> ShownMark:
    """A mark with its panel's name."""
    body = Body(order.vehicle.body)
    return ShownMark(mark=mark, panel=_panel_named(mark.panel, body=body))


def _panel_named(code: str, *, body: Body) -> str:
    return panel_name(code, body=body) if code in panels() else code.replace("_", " ")


def later_yes_of(order: WorkOrder) -> list[Agreement]:
    """Each yes to marks found later: who gave it, how, when, to which marks."""
    agreements = order.agreements.select_related("by")
    return list(agreements.filter(about=Agreement.About.MARKS))


def drop_off_of(order: WorkOrder) -> Agreement | None:
    """How the drop-off was agreed: the newest yes."""
    agreements = order.agreements.select_related("signature", "by")
    return agreements.filter(about=Agreement.About.DROP_OFF).last()
