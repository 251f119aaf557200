"""What the customer's page shows of an order: where it is, dates, what to agree."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta

from django.utils.translation import gettext

from jobs.condition.agreement_queries import ShownMark, ToAgree, marks_to_ask, to_agree
from jobs.feeds.ical import Entry
from jobs.handover.queries import care_lines_of, ready_since
from jobs.models import Paper, WorkOrder
from jobs.promises.queries import check_of
from jobs.public.customer_says import AN_EDGE_LIFTS, Care, where_the_car_is
from shopapp.models import the_shop
from shopapp.say import Say

FOR_CUSTOMERS = (Paper.Kind.CARE,)
"""Kinds of papers that are written for the customer."""
AT_THE_DESK = timedelta(minutes=30)
"""So long a date of the customer's takes in her calendar."""


@dataclass(frozen=True, kw_only=True)
class CustomerView:
    """Everything on the customer's page."""

    sentence: Say
    ready_at: datetime | None
    is_here: bool
    may_leave: bool
    agree: ToAgree | None
    to_ask: list[ShownMark]
    care: tuple[Care, ...]
    an_edge_lifts: tuple[Say, Say]
    papers: list[Paper]


def customer_view(order: WorkOrder, *, now: datetime) -> CustomerView:
    """The page of an order at a moment."""
    here, since = not order.is_closed, ready_since(order, now=now)
    # What a person gave; no computed time takes its place on this page.
    ready, doubted = order.promised_at, check_of(order) is not None
    left = order.handed_over_at
    unsigned = here and not order.walk_round_agreed
    return CustomerView(
        sentence=where_the_car_is(
            stage=order.stage_now,
            is_paused=order.is_paused,
            ready_at=ready,
            is_over_due=ready < now,
            is_doubted=doubted,
            may_leave=since is not None,
            handed_over_at=left,
        ),
        ready_at=since or (None if doubted or ready < now else ready),
        is_here=here,
        may_leave=since is not None,
        agree=to_agree(order) if unsigned else None,
        to_ask=marks_to_ask(order) if here else [],
        care=care_lines_of(order, at=left) if left else (),
        an_edge_lifts=AN_EDGE_LIFTS,
        papers=list(papers_of(order)),
    )


def papers_of(order: WorkOrder) -> list[Paper]:
    """The newest issued version of each paper for the customer."""
    issued = order.papers.filter(
        kind__in=FOR_CUSTOMERS, state=Paper.State.ISSUED, file__isnull=False
    ).order_by("number", "-version")
    newest: dict[str, Paper] = {}
    for paper in issued:
        newest.setdefault(paper.number, paper)
    return list(newest.values())


def appointment_of(order: WorkOrder, what: str) -> Entry | None:
    """A date of the order for the customer's calendar, or None while there is none."""
    if what == "ready" and not order.is_closed:
        if check_of(order):
            return None
        starts_at, title = order.promised_at, gettext("Collect the car")
    elif what == "recheck" and order.recheck_at:
        starts_at, title = order.recheck_at, gettext("Film recheck")
    else:
        return None
    shop = the_shop()
    return Entry(
        uid=f"{what}-{order.number}@film-shop.invalid",
        starts_at=starts_at,
        ends_at=starts_at + AT_THE_DESK,
        title=f"{title}: {order.vehicle}",
        where=", ".join(line for line in [shop.name, shop.address] if line),
    )
