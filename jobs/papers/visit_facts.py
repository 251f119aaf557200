"""Facts of the papers before and at the arrival: confirmation, and drop-off note."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from django.utils.translation import gettext

from jobs.bookings.prepare import to_bring
from jobs.condition.agreement_queries import ToAgree, as_agreed, drop_off_of
from jobs.condition.marks import mark_kinds
from jobs.coverage.catalogue import Body
from jobs.estimates.queries import estimate_rule, told_line
from jobs.models import Booking, WorkOrder
from jobs.money.line_queries import price_lines
from jobs.money.queries import money_of
from jobs.papers.estimate_facts import (
    AcceptedFacts,
    CoveredFacts,
    covered,
)
from jobs.papers.facts import Json, ShopFacts, said, shop_facts, to_json
from jobs.papers.money_facts import InvoiceLineFacts, SellerFacts, seller_facts
from jobs.public.customer_words import MEANS


@dataclass(frozen=True, kw_only=True)
class AgreedPriceFacts:
    """A price with its lines, and what came of it; amounts as text."""

    lines: tuple[InvoiceLineFacts, ...]
    total: str
    tax: str
    tax_name: str
    tax_rate: str
    is_tax_on_top: bool
    deposit: str
    paid: str
    owed: str
    on_account: bool


@dataclass(frozen=True, kw_only=True)
class ConfirmationFacts:
    """Everything on the confirmation of a booking."""

    shop: ShopFacts
    language: str
    seller: SellerFacts
    customer: str
    address: str
    vehicle: str
    plate: str
    order_number: str
    estimate: str
    arrives_at: datetime
    promised_at: datetime
    package: str
    film: str
    panels: tuple[CoveredFacts, ...]
    works: tuple[str, ...]
    price: AgreedPriceFacts | None
    bring: tuple[str, ...]


@dataclass(frozen=True, kw_only=True)
class FoundFacts:
    """A mark that was found, and what it means for the film."""

    panel: str
    kind: str
    severity: str
    size_mm: int | None
    note: str
    means: str


@dataclass(frozen=True, kw_only=True)
class DropOffFacts:
    """Everything on the drop-off note.

    signed_price  what was agreed to at drop-off, where the price is another now
    """

    shop: ShopFacts
    language: str
    seller: SellerFacts
    order: str
    customer: str
    phone: str
    vehicle: str
    plate: str
    vin: str
    colour: str
    key_tag: str
    mileage: int | None
    arrived_at: datetime
    promised_at: datetime
    film: str
    panels: tuple[CoveredFacts, ...]
    works: tuple[str, ...]
    price: AgreedPriceFacts | None
    marks: tuple[FoundFacts, ...]
    repaint: tuple[str, ...]
    terms: tuple[str, ...]
    agreed: AcceptedFacts | None
    signed_price: str = ""


def booking_of(subject: str) -> Booking:
    """The booking that a paper is about; subject "booking 12"."""
    rows = Booking.objects.select_related("customer", "vehicle", "film")
    return rows.get(pk=int(subject.split()[1]))


def confirmation_facts(subject: str) -> Json:
    """What was booked, as it stands."""
    booking = booking_of(subject)
    customer, vehicle = booking.customer, booking.vehicle
    made_from = getattr(booking, "estimate", None)
    return to_json(
        ConfirmationFacts(
            shop=shop_facts(),
            language=customer.language,
            seller=seller_facts(),
            customer=customer.name,
            address=customer.address,
            vehicle=str(vehicle),
            plate=vehicle.known_by,
            order_number=booking.order_number,
            estimate=made_from.number if made_from else "",
            arrives_at=booking.arrives_at,
            promised_at=booking.promised_at,
            package=gettext(booking.get_package_display()),
            film=booking.film.name,
            panels=covered(booking.panels.all(), body=Body(vehicle.body)),
            works=tuple(work.name for work in booking.added_work.all()),
            price=_price(booking),
            bring=tuple(said(line) for line in to_bring(estimate_rule().bring)),
        )
    )


def drop_off_facts(order: WorkOrder) -> Json:
    """The car as it was left here, and what is to be done."""
    customer, vehicle = order.customer, order.vehicle
    shown = as_agreed(order, drop_off_of(order))
    return to_json(
        DropOffFacts(
            shop=shop_facts(),
            language=customer.language,
            seller=seller_facts(),
            order=order.number,
            customer=customer.name,
            phone=customer.phone,
            vehicle=str(vehicle),
            plate=vehicle.known_by,
            vin=vehicle.vin,
            colour=vehicle.colour,
            key_tag=order.key_tag,
            mileage=order.mileage,
            arrived_at=order.arrived_at,
            promised_at=order.promised_at,
            film=shown.film,
            panels=covered(
                [each.row for each in shown.panels], body=Body(vehicle.body)
            ),
            works=tuple(shown.work),
            price=_price(order),
            marks=_found(shown),
            repaint=tuple(said(line) for line in shown.repaint),
            terms=tuple(said(line) for line in shown.terms),
            agreed=_agreed(order),
            signed_price=_signed_price(order, shown),
        )
    )


def _signed_price(order: WorkOrder, shown: ToAgree) -> str:
    other = shown.price is not None and shown.price != order.price
    return str(shown.price) if other else ""


def _found(shown: ToAgree) -> tuple[FoundFacts, ...]:
    known = mark_kinds()
    return tuple(
        FoundFacts(
            panel=gettext(each.panel),
            kind=gettext(each.kind),
            severity=gettext(each.severity),
            size_mm=each.mark.size_mm,
            note=each.mark.note,
            means=said(MEANS[known[each.mark.kind].film])
            if each.mark.kind in known
            else "",
        )
        for each in shown.marks
    )


def _agreed(order: WorkOrder) -> AcceptedFacts | None:
    agreed = drop_off_of(order)
    if agreed is None:
        return None
    return AcceptedFacts(
        name=agreed.name,
        how=agreed.how,
        accepted_at=agreed.at,
        address="",
        signature=agreed.signature.sha256 if agreed.signature else "",
    )


def _price(row: Booking | WorkOrder) -> AgreedPriceFacts | None:
    lines, money = price_lines(row), money_of(row)
    if lines is None:
        return None
    return AgreedPriceFacts(
        lines=tuple(
            InvoiceLineFacts(
                kind=line.kind, name=told_line(line), amount=str(line.amount)
            )
            for line in lines.lines
        ),
        total=str(lines.total),
        tax=str(lines.tax),
        tax_name=seller_facts().tax_name,
        tax_rate=f"{lines.tax_pct.normalize():f}",
        is_tax_on_top=lines.is_on_top,
        deposit=str(money.deposit),
        paid=str(money.paid),
        owed=str(money.owed),
        on_account=money.on_account,
    )
