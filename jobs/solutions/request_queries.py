"""What the mixing sheet of an order is asked: its panels, the day, the shelf."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import datetime

from jobs.condition.reading_queries import conditions_now
from jobs.coverage.blanks import PanelSize, film_area_m2, panel_size
from jobs.coverage.catalogue import Body, panels, placing_min
from jobs.coverage.measured_queries import car_of, measured_on
from jobs.findings.use_rate_queries import use_rates
from jobs.models import OrderPanel, WorkOrder
from jobs.stages.queries import laying_limits
from mixing.models import RecipeVersion, Vessel
from mixing.sheet import SheetRequest
from mixing.sheet.input_queries import (
    bench_facts,
    shelf_for_sheet,
    vessel_for_sheet,
    water_for_sheet,
)
from mixing.sheet.queries import newest_versions, spec_of
from shopapp.models import shop_date
from shopapp.once import once_a_page


def panels_to_lay(workorder: WorkOrder) -> list[OrderPanel]:
    """The panels that this round still lays, struck-off ones left out."""
    return [
        panel
        for panel in workorder.panels.all()
        if panel.struck_off_at is None
        and (panel.laid_at is None or panel.laid_round == workorder.round)
    ]


def sizes_of(workorder: WorkOrder, codes: list[str]) -> Mapping[str, PanelSize]:
    """Size of each panel: measured by the shop, else the size class's template."""
    vehicle = workorder.vehicle
    body = Body(vehicle.body)
    measured = measured_on(car_of(vehicle))
    return {
        code: panel_size(
            code, size_class=vehicle.size_class, body=body, measured=measured
        )
        for code in codes
    }


def longest_placing_min(codes: Iterable[str]) -> float | None:
    """Placing minutes of the panel that takes longest in one go.

    A panel laid in sections is wetted and placed section by section.
    """
    known = panels()
    whole = [known[code] for code in codes if not known[code].in_sections]
    return max((placing_min(panel).value for panel in whole), default=None)


@once_a_page
def versions_of_order(workorder: WorkOrder) -> dict[str, RecipeVersion]:
    """The recipe of each solution that the shop mixes, or has mixed in this round."""
    ties = workorder.order_batches.filter(round=workorder.round)
    return newest_versions(also=set(ties.values_list("batch__kind", flat=True)))


def sheet_request(
    workorder: WorkOrder,
    *,
    at: datetime,
    versions: Mapping[str, RecipeVersion] | None = None,
    vessels: list[Vessel] | None = None,
) -> SheetRequest:
    """The request for this order as things stand.

    versions  recipe version by kind; None: the newest of each recipe in use
    vessels   those that the person chose; None: all clean ones, as a proposal
    """
    codes = [panel.panel for panel in panels_to_lay(workorder)]
    sizes = sizes_of(workorder, codes)
    chosen = versions_of_order(workorder) if versions is None else versions
    recipes = tuple(spec_of(version) for version in chosen.values())
    clean = Vessel.objects.filter(retired=False, state=Vessel.State.CLEAN)
    today = shop_date(at)
    stock, dispensers = shelf_for_sheet(on=today)
    bench = bench_facts()
    return SheetRequest(
        film_area_m2=film_area_m2(sizes.values()).value if sizes else 0.0,
        recipes=recipes,
        conditions=conditions_now(workorder),
        placing_min=longest_placing_min(codes),
        vessels=tuple(
            vessel_for_sheet(vessel)
            for vessel in (clean if vessels is None else vessels)
        ),
        vessels_chosen=vessels is not None,
        stock=stock,
        dispensers=dispensers,
        preferred=bench.preferred,
        water=water_for_sheet(on=today),
        use_rates=use_rates(recipes),
        fill_mode=bench.fill_mode,
        patch=bench.patch,
        laying=laying_limits(workorder),
    )
