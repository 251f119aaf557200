"""The panels of an order as its page shows them, the car they are on, the reading."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from functools import partial

from django.db.models import Prefetch
from django.utils.translation import gettext

from jobs.as_kept import known_fields
from jobs.condition.marks import AcceptanceStandard
from jobs.condition.reading_queries import named_readings
from jobs.coverage.blanks import PanelSize, panel_size
from jobs.coverage.car_drawing import WORDS, DrawnPanel, PanelState, car_svg
from jobs.coverage.catalogue import Badge, Body, Edge, Seam, panel_name
from jobs.coverage.measured_queries import car_of, measured_on
from jobs.models import Defect, OrderPanel, PanelLook, WorkOrder
from jobs.panels.may import PanelFacts, why_not
from jobs.rules.stock import reading_wanted
from jobs.rules.table import Concern
from jobs.stages.queries import last_reading, rule_levels
from jobs.stages.table import May
from mixing.models import Reading
from mixing.sheet.input_queries import MeasureAgain, dew_point_of, measure_again
from shopapp.documents import Document
from shopapp.models import Shop, the_shop
from shopapp.say import Say

UNSETTLED = (Defect.State.OPEN, Defect.State.REDO)

ACCEPTANCE = Document(kind="acceptance standard")


@dataclass(frozen=True, kw_only=True)
class PanelLine:
    """A panel of the order: how far it is, and what may be done to it now."""

    row: OrderPanel
    name: str
    facts: PanelFacts
    size: PanelSize
    defects: tuple[Defect, ...]
    viewer_pk: int | None = None

    @property
    def looks(self) -> list[PanelLook]:
        """Who looked at the film that is on, and when: first look first."""
        return looks_at(self.row)

    @property
    def looked_by_viewer(self) -> bool:
        """Whether the person before the screen has looked at it."""
        return any(look.by_id == self.viewer_pk for look in self.looks)

    @property
    def state(self) -> PanelState:
        """As it is drawn."""
        if self.facts.is_laid:
            return PanelState.LOOKED if self.facts.is_seen else PanelState.LAID
        return PanelState.READY if self.facts.is_ready else PanelState.CHOSEN

    @property
    def main_act(self) -> str:
        """What this stage does to this panel, or "" when it is done here."""
        act = self.facts.stage.row.main_act
        if act is None or self.facts.is_struck_off:
            return ""
        to_do = {
            May.READY: not self.facts.is_ready,
            May.LAY: not self.facts.is_laid,
            May.LOOK: wants_look(self.row, by_pk=self.viewer_pk),
        }
        return act.value if to_do[act] else ""

    @property
    def refusal(self) -> Say | None:
        """What greys the main button."""
        return why_not(self.main_act, self.facts) if self.main_act else None

    @property
    def may(self) -> dict[str, bool]:
        """Each act, and whether nothing speaks against it."""
        acts = ("ready", "unready", "lay", "unlay", "strike", "look", "defect")
        return {act: why_not(act, self.facts) is None for act in acts}


@dataclass(frozen=True, kw_only=True)
class ReadingNow:
    """The last reading of the order, and whether a new one is wanted.

    panels  name and °C of the panels that were read, the hottest first
    """

    last: Reading | None
    panels: list[tuple[str, float]]
    dew_point_c: float | None
    wanted: Concern | None
    moved: Concern | None = None
    again: MeasureAgain | None = None


def looks_at(panel: OrderPanel) -> list[PanelLook]:
    """Looks at the film that is on a panel; those at film of before do not count."""
    if panel.laid_at is None:
        return []
    return [look for look in panel.looks.all() if look.round >= panel.laid_round]


def wants_look(panel: OrderPanel, *, by_pk: int | None) -> bool:
    """Whether this person's look is wanted: nobody's yet, or only the layer's own."""
    if panel.laid_at is None or panel.struck_off_at is not None:
        return False
    by_others = any(look.by_id != panel.laid_by_id for look in looks_at(panel))
    return (
        not looks_at(panel)
        or not by_others
        and by_pk
        not in (
            None,
            panel.laid_by_id,
        )
    )


def panel_facts(workorder: WorkOrder, panel: OrderPanel) -> PanelFacts:
    """What the panel's rules ask for."""
    laid_round = panel.laid_round if panel.laid_at else None
    return PanelFacts(
        stage=workorder.stage_now,
        round=workorder.round,
        is_ready=panel.ready_at is not None,
        laid_round=laid_round,
        is_struck_off=panel.struck_off_at is not None,
        is_seen=bool(looks_at(panel)),
    )


def panel_lines(
    workorder: WorkOrder, *, viewer_pk: int | None = None
) -> list[PanelLine]:
    """The order's panels from front to rear, four queries however many there are.

    viewer_pk  who is before the screen: another pair of eyes may be wanted
    """
    body = Body(workorder.vehicle.body)
    measured = measured_on(car_of(workorder.vehicle))
    rows = workorder.panels.select_related("ready_by", "laid_by").prefetch_related(
        Prefetch("looks", queryset=PanelLook.objects.select_related("by")),
        Prefetch("defects", queryset=Defect.objects.order_by("pk")),
    )
    return [
        PanelLine(
            row=row,
            name=panel_name(row.panel, body=body),
            facts=panel_facts(workorder, row),
            size=panel_size(
                row.panel,
                size_class=workorder.vehicle.size_class,
                body=body,
                measured=measured,
            ),
            defects=tuple(d for d in row.defects.all() if d.state in UNSETTLED),
            viewer_pk=viewer_pk,
        )
        for row in rows
    ]


def drawn_car(workorder: WorkOrder, lines: Iterable[PanelLine]) -> str:
    """The car with its panels as they are now; struck-off panels are left blank."""
    on_car = [line for line in lines if not line.facts.is_struck_off]
    laid = sum(line.facts.is_laid for line in on_car)
    title = gettext("{car}: {laid} of {all} panels laid").format(
        car=workorder.vehicle, laid=laid, all=len(on_car)
    )
    return car_svg(
        body=Body(workorder.vehicle.body),
        panels=[
            DrawnPanel(
                panel=line.row.panel,
                state=line.state,
                edge=Edge(line.row.edge),
                badge=Badge(line.row.badge),
                seam=Seam(line.row.seam),
            )
            for line in on_car
        ],
        title=title,
        prefix=f"car-{workorder.pk}",
        words={key: gettext(word) for key, word in WORDS.items()},
    )


def reading_now(
    workorder: WorkOrder,
    *,
    now: datetime,
    panel_c: float | None = None,
    shop: Shop | None = None,
) -> ReadingNow:
    """The last reading, and what the rules say of it.

    panel_c  the panel as somebody has just read it, °C, to ask whether it has moved
    """
    shop = shop or the_shop()
    last = last_reading(workorder)
    asked = partial(
        reading_wanted,
        today=now.astimezone(shop.zone).date(),
        read_on=last.taken_at.astimezone(shop.zone).date() if last else None,
        read_panel_c=last.panel_c if last else None,
        levels=rule_levels(shop),
    )
    stage = workorder.stage_now
    # Before film is laid it is asked for once a panel is ready: then the first is near.
    ready = (panel.ready_at is not None for panel in workorder.panels.all())
    laying = stage.may(May.LAY) or stage.may(May.READ) and any(ready)
    return ReadingNow(
        last=last,
        panels=named_readings(workorder),
        dew_point_c=dew_point_of(last) if last else None,
        wanted=asked(panel_c=None) if laying else None,
        moved=None if panel_c is None else asked(panel_c=panel_c),
        again=measure_again(last) if laying else None,
    )


def acceptance_standard() -> AcceptanceStandard:
    """The shop's own acceptance standard; what it has not set is the default."""
    stored = ACCEPTANCE.upgrade(the_shop().acceptance)
    known = known_fields(AcceptanceStandard, stored)
    if "watched" in known:
        known["watched"] = frozenset(known["watched"])
    return AcceptanceStandard(**known)
