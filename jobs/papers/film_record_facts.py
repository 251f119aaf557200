"""Facts of the film and warranty record: which film lies where, and by whose hand."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime

from django.utils import timezone
from django.utils.translation import gettext

from jobs.coverage.catalogue import Body, Edge, panel_name
from jobs.models import FilmMovement, OrderPanel, WorkOrder
from jobs.papers.facts import Json, ShopFacts, shop_facts, to_json
from shopapp.models import the_shop


@dataclass(frozen=True, kw_only=True)
class RecordedPanel:
    """Film on one panel.

    lot  of the rolls that its film came from, as their maker marked them
    by   who laid it
    """

    name: str
    is_wrapped: bool
    lot: str
    laid_on: date
    by: str


@dataclass(frozen=True, kw_only=True)
class FilmRecordFacts:
    """Everything on the film and warranty record.

    years         that the film's maker states; None: not said
    registered_as the number under which the maker knows this car; empty: none
    """

    shop: ShopFacts
    language: str
    phone: str
    email: str
    order: str
    customer: str
    vehicle: str
    plate: str
    vin: str
    film: str
    years: int | None
    registered_as: str
    given_on: date | None
    panels: tuple[RecordedPanel, ...]


def film_record_facts(order: WorkOrder, *, at: datetime) -> Json:
    """The film that lies on this car."""
    shop, left = the_shop(), order.handed_over_at
    lots = _lots(order)
    return to_json(
        FilmRecordFacts(
            shop=shop_facts(shop),
            language=order.customer.language,
            phone=shop.phone,
            email=shop.email,
            order=order.number,
            customer=order.customer.name,
            vehicle=str(order.vehicle),
            plate=order.vehicle.known_by,
            vin=order.vehicle.vin,
            film=order.film.name,
            years=order.film.warranty_years,
            registered_as=order.film_registered_as,
            given_on=timezone.localtime(left, shop.zone).date() if left else None,
            panels=tuple(
                _recorded(row, body=Body(order.vehicle.body), lots=lots)
                for row in order.panels.filter(
                    struck_off_at=None, laid_at__isnull=False
                ).select_related("laid_by")
            ),
        )
    )


def _recorded(
    row: OrderPanel, *, body: Body, lots: dict[int | None, str]
) -> RecordedPanel:
    assert row.laid_at is not None
    return RecordedPanel(
        name=gettext(panel_name(row.panel, body=body)),
        is_wrapped=row.edge == Edge.WRAPPED.value,
        lot=lots.get(row.pull_id, ""),
        laid_on=timezone.localtime(row.laid_at, the_shop().zone).date(),
        by=str(row.laid_by or ""),
    )


def _lots(order: WorkOrder) -> dict[int | None, str]:
    """The lots of the rolls and off-cuts that each pull took film of."""
    took = (FilmMovement.What.PULLED, FilmMovement.What.OFFCUT_USED)
    found: dict[int | None, list[str]] = {}
    for pull_pk, lot in (
        FilmMovement.objects.filter(pull__workorder=order, what__in=took)
        .order_by("pk")
        .values_list("pull_id", "roll__lot")
    ):
        if lot and lot not in found.setdefault(pull_pk, []):
            found[pull_pk].append(lot)
    return {pull_pk: ", ".join(lots) for pull_pk, lots in found.items()}
