"""What the customer's page shows: where the car is, dates, questions, money."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from decimal import Decimal

from django.db.models import Q
from django.utils import timezone
from django.utils.translation import gettext

from jobs.condition.agreement_queries import (
    ShownMark,
    ToAgree,
    marks_to_ask,
    marks_to_tell,
    to_agree,
)
from jobs.condition.marks import mark_kinds
from jobs.estimates.queries import (
    booking_subject,
    estimate_subject,
    sent_subjects,
)
from jobs.feeds.ical import Entry
from jobs.handover.queries import ready_since
from jobs.invoices.queries import papers_about
from jobs.models import (
    Booking,
    CustomerEstimate,
    CustomerLink,
    EstimateVersion,
    Paper,
    WorkOrder,
)
from jobs.money.queries import Money, money_of
from jobs.opening.hours import Opening
from jobs.opening.queries import opening_of
from jobs.promises.queries import check_of
from jobs.public.cover_queries import Cover, cover_of
from jobs.public.customer_says import when_it_is_ready, where_the_car_is
from jobs.public.customer_words import MEANS, PAPERS
from jobs.public.link_queries import booking_of, order_of
from jobs.public.opening_says import closed_soon, weeks_hours
from jobs.public.return_queries import ReturnTold, back_again, return_told
from shopapp.models import the_shop
from shopapp.say import Say

FOR_CUSTOMERS = (Paper.Kind.CARE, Paper.Kind.FILM_RECORD, Paper.Kind.DROP_OFF)
"""Kinds of papers that are written for the customer."""
OF_MONEY = (Paper.Kind.INVOICE, Paper.Kind.RECEIPT)
"""Her own alone: they are found by her order's invoices and receipts."""
NUMBERED = (*OF_MONEY, Paper.Kind.ESTIMATE)
"""Told by their number too: there may be several."""
AT_THE_DESK = timedelta(minutes=30)
"""So long a date of the customer's takes in her calendar."""


class ToldMark(ShownMark):
    """A mark in the customer's language, and what it means for the film."""

    @property
    def panel_told(self) -> str:
        """Where it is."""
        return gettext(self.panel)

    @property
    def kind_told(self) -> str:
        """What it is."""
        return gettext(self.kind)

    @property
    def severity_told(self) -> str:
        """How bad it is."""
        return gettext(self.severity)

    @property
    def means(self) -> Say | None:
        """What it means for the film; of an unknown kind nothing is said."""
        known = mark_kinds().get(self.mark.kind)
        return MEANS[known.film] if known else None


def _told(shown: ShownMark) -> ToldMark:
    return ToldMark(mark=shown.mark, panel=shown.panel)


@dataclass(frozen=True, kw_only=True)
class ShownPaper:
    """A paper to keep, by the name that a customer knows."""

    pk: int
    kind: str
    number: str

    @property
    def told(self) -> str:
        """Its name, with its number where there may be several."""
        known = PAPERS.get(self.kind)
        name = gettext(known.text if known else Paper.Kind(self.kind).label)
        return f"{name} {self.number}" if self.kind in NUMBERED else name


def _to_agree(order: WorkOrder) -> ToAgree:
    shown = to_agree(order)
    return replace(shown, marks=[_told(each) for each in shown.marks])


@dataclass(frozen=True, kw_only=True)
class CustomerView:
    """Everything on the customer's page of an order.

    declined  marks that she said no to: the shop calls
    told      marks written down since her yes that ask for none
    money     None while no price is agreed
    back      why it is back, where it came back
    """

    sentence: Say
    then: Say | None
    ready_at: datetime | None
    is_here: bool
    may_leave: bool
    agree: ToAgree | None
    to_ask: list[ToldMark]
    declined: list[ToldMark]
    told: list[ToldMark]
    cover: Cover
    money: Money | None
    papers: list[ShownPaper]
    receipts: list[ShownReceipt]
    back: ReturnTold | None

    @property
    def is_filmed(self) -> bool:
        """Whether film is laid on this visit."""
        return self.back is None or self.back.with_film


def customer_view(order: WorkOrder, *, now: datetime) -> CustomerView:
    """The page of an order at a moment."""
    here, since = not order.is_closed, ready_since(order, now=now)
    # What a person gave; no computed time takes its place on this page.
    ready, doubted = order.promised_at, check_of(order) is not None
    unsigned = here and not order.walk_round_agreed
    waiting = [_told(each) for each in marks_to_ask(order)] if here else []
    then = when_it_is_ready(
        ready_at=ready,
        is_paused=order.is_paused,
        is_over_due=ready < now,
        is_doubted=doubted,
    )
    papers = papers_of(order)
    return CustomerView(
        sentence=where_the_car_is(
            stage=order.stage_now,
            may_leave=since is not None,
            is_return=order.return_of_id is not None,
            handed_over_at=order.handed_over_at,
        ),
        then=back_again(order) if not here else then if since is None else None,
        ready_at=since or (None if doubted or ready < now else ready),
        is_here=here,
        may_leave=since is not None,
        agree=_to_agree(order) if unsigned else None,
        to_ask=[each for each in waiting if each.mark.declined_at is None],
        declined=[each for each in waiting if each.mark.declined_at is not None],
        told=[_told(each) for each in marks_to_tell(order)] if here else [],
        cover=cover_of(order),
        money=_money(order),
        papers=shown_papers(papers),
        receipts=receipts_of(order, papers),
        back=return_told(order),
    )


def _money(row: WorkOrder | Booking) -> Money | None:
    return None if row.price is None else money_of(row)


@dataclass(frozen=True, kw_only=True)
class ShownReceipt:
    """What came in at one time for this car, or went back.

    paper_pk  of its printed receipt, if there is one
    """

    number: str
    at: datetime
    amount: Decimal
    paper_pk: int | None


def receipts_of(
    row: WorkOrder | Booking, papers: Iterable[Paper]
) -> list[ShownReceipt]:
    """Its receipts, oldest first."""
    printed = {paper.number: paper.pk for paper in papers}
    found: dict[str, ShownReceipt] = {}
    for payment in row.payments.select_related("receipt").order_by("pk"):
        number = payment.receipt.number if payment.receipt else ""
        known = found.get(number)
        found[number] = ShownReceipt(
            number=number,
            at=payment.at,
            amount=payment.amount + (known.amount if known else 0),
            paper_pk=printed.get(number),
        )
    return list(found.values())


@dataclass(frozen=True, kw_only=True)
class BookingView:
    """Everything on the customer's page of a booking."""

    cover: Cover
    money: Money | None
    receipts: list[ShownReceipt]
    back: ReturnTold | None


def booking_view(booking: Booking) -> BookingView:
    """The page of a booking: what was agreed, and nothing that nobody said."""
    return BookingView(
        cover=cover_of(booking),
        money=_money(booking),
        receipts=receipts_of(booking, papers_of(booking)),
        back=return_told(booking),
    )


@dataclass(frozen=True, kw_only=True)
class Visit:
    """Where the shop is and when it is open."""

    opening: Opening

    @property
    def hours(self) -> object:
        """Days of the same hours together."""
        return weeks_hours(self.opening)

    @property
    def closed(self) -> object:
        """Holidays that come soon."""
        return closed_soon(self.opening, today=timezone.localdate())


def visit() -> Visit:
    """What a customer asks before coming."""
    return Visit(opening=opening_of())


def papers_of(row: WorkOrder | Booking) -> list[Paper]:
    """The newest issued version of each paper for the customer."""
    if isinstance(row, Booking):
        return _newest(_of_booking(row) | _of_money(row))
    hers = Q(workorder=row, kind__in=FOR_CUSTOMERS)
    if row.booking:
        hers |= _of_booking(row.booking)
    return _newest(hers | _of_money(row))


def papers_by(link: CustomerLink) -> list[Paper]:
    """The papers that a link shows: of its order, booking or estimate, no others."""
    if order := order_of(link):
        return papers_of(order)
    if booking := booking_of(link):
        return papers_of(booking)
    assert link.estimate is not None
    return _newest(_of_estimate(link.estimate))


def papers_of_version(version: EstimateVersion) -> list[Paper]:
    """The newest paper of one version of an estimate."""
    subject = estimate_subject(version.pk)
    return _newest(Q(kind=Paper.Kind.ESTIMATE, subject=subject))


def _of_estimate(row: CustomerEstimate) -> Q:
    return Q(kind=Paper.Kind.ESTIMATE, subject__in=sent_subjects(row))


def _of_booking(booking: Booking) -> Q:
    """Its confirmation, and the estimate that it was made from."""
    found = Q(kind=Paper.Kind.CONFIRMATION, subject=booking_subject(booking.pk))
    row = CustomerEstimate.objects.filter(booking=booking).first()
    return found | _of_estimate(row) if row else found


def _of_money(row: WorkOrder | Booking) -> Q:
    return Q(kind__in=OF_MONEY, subject__in=papers_about(row))


def _newest(hers: Q) -> list[Paper]:
    issued = Paper.objects.filter(
        hers, state=Paper.State.ISSUED, file__isnull=False
    ).order_by("number", "-version")
    newest: dict[str, Paper] = {}
    for paper in issued:
        newest.setdefault(paper.number, paper)
    return list(newest.values())


def shown_papers(papers: list[Paper]) -> list[ShownPaper]:
    """Papers by the names that a customer knows."""
    return [
        ShownPaper(pk=paper.pk, kind=paper.kind, number=paper.number)
        for paper in papers
    ]


def appointment_of(row: WorkOrder | Booking, what: str) -> Entry | None:
    """A date for the customer's calendar, or None while there is none."""
    date = _booked(row, what) if isinstance(row, Booking) else _of_order(row, what)
    if date is None:
        return None
    starts_at, title = date
    shop = the_shop()
    number = row.number if isinstance(row, WorkOrder) else f"booking-{row.pk}"
    return Entry(
        uid=f"{what}-{number}@film-shop.invalid",
        starts_at=starts_at,
        ends_at=starts_at + AT_THE_DESK,
        title=f"{title}: {row.vehicle.whole_name}",
        where=", ".join(line for line in [shop.name, shop.address] if line),
    )


def _booked(booking: Booking, what: str) -> tuple[datetime, str] | None:
    if what == "bring":
        return booking.arrives_at, gettext("Bring the car")
    if what == "ready":
        return booking.promised_at, gettext("Collect the car")
    return None


def _of_order(order: WorkOrder, what: str) -> tuple[datetime, str] | None:
    if what == "ready" and not order.is_closed and not check_of(order):
        return order.promised_at, gettext("Collect the car")
    if what == "recheck" and order.recheck_at:
        return order.recheck_at, gettext("Film recheck")
    return None
