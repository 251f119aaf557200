"""What is covered on the customer's car, and how far: drawn, and in words."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import gettext

from jobs.coverage.car_drawing import WORDS, DrawnPanel, PanelState, car_svg
from jobs.coverage.catalogue import Badge, Body, Edge, Seam, panel_name, panels_on
from jobs.models import (
    Booking,
    BookingPanel,
    EstimateChoice,
    EstimatePanel,
    OrderPanel,
    WorkOrder,
)
from jobs.public.customer_words import HOW_FAR
from jobs.stages.table import May


@dataclass(frozen=True, kw_only=True)
class CoverLine:
    """A panel in words."""

    name: str
    how_far: str
    is_laid: bool
    is_wrapped: bool


@dataclass(frozen=True, kw_only=True)
class Cover:
    """The coverage of a car."""

    drawing: SafeString
    lines: tuple[CoverLine, ...]
    film: str

    @property
    def laid(self) -> int:
        """Panels with film on them."""
        return sum(line.is_laid for line in self.lines)

    @property
    def all(self) -> int:
        """Panels to be covered."""
        return len(self.lines)


Row = OrderPanel | BookingPanel | EstimatePanel


def cover_of(row: WorkOrder | Booking) -> Cover:
    """The coverage of an order as it is, or of a booking as it is meant."""
    rows = _rows(row)
    return _cover(
        [(panel, _state(row, panel)) for panel in rows],
        body=Body(row.vehicle.body),
        film=row.film.name,
    )


def cover_of_choice(choice: EstimateChoice, *, body: str) -> Cover:
    """The coverage of one package of an estimate, drawn beside others."""
    return _cover(
        [(panel, PanelState.CHOSEN) for panel in choice.panels.all()],
        body=Body(body),
        film=choice.film.name,
        prefix=f"car{choice.place}",
    )


def _cover(
    panels: Sequence[tuple[Row, PanelState]],
    *,
    body: Body,
    film: str,
    prefix: str = "car",
) -> Cover:
    return Cover(
        drawing=_drawn(body, panels, prefix=prefix),
        lines=tuple(
            CoverLine(
                name=gettext(panel_name(panel.panel, body=body)),
                how_far=gettext(HOW_FAR[state]),
                is_laid=state in (PanelState.LAID, PanelState.LOOKED),
                is_wrapped=panel.edge == Edge.WRAPPED.value,
            )
            for panel, state in panels
        ),
        film=film,
    )


def _rows(row: WorkOrder | Booking) -> list[OrderPanel | BookingPanel]:
    if isinstance(row, WorkOrder):
        return [*row.panels.filter(struck_off_at=None)]
    return [*row.panels.all()]


def _state(row: WorkOrder | Booking, panel: OrderPanel | BookingPanel) -> PanelState:
    """To the customer a panel is looked at once the whole round is."""
    if isinstance(row, Booking) or isinstance(panel, BookingPanel):
        return PanelState.CHOSEN
    if panel.laid_at:
        over = row.is_closed or row.stage_now.may(May.SETTLE)
        return PanelState.LOOKED if over else PanelState.LAID
    return PanelState.READY if panel.ready_at else PanelState.CHOSEN


def _drawn(
    body: Body, panels: Sequence[tuple[Row, PanelState]], *, prefix: str
) -> SafeString:
    names = [panel_name(panel.code, body=body) for panel in panels_on(body)]
    words = {**WORDS, **{state.value: far for state, far in HOW_FAR.items()}}
    svg = car_svg(
        body=body,
        panels=[
            DrawnPanel(
                panel=panel.panel,
                state=state,
                edge=Edge(panel.edge),
                badge=Badge(panel.badge),
                seam=Seam(panel.seam),
            )
            for panel, state in panels
        ],
        title=gettext("Your car and what is covered"),
        words={key: gettext(word) for key, word in words.items()},
        names={name: gettext(name) for name in names},
        with_legend=False,
        prefix=prefix,
    )
    return mark_safe(svg)  # noqa: S308 - our own drawing, escaped where it is made
