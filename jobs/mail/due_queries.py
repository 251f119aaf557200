"""What is due to be written to customers now, by the clock."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta

from django.db.models import Q

from jobs.handover.queries import care_of, ready_since
from jobs.mail.kinds import Kind
from jobs.mail.queries import mail_rule
from jobs.mail.times import FRESH, RESTS, day_before, on_day
from jobs.models import (
    Booking,
    BookingEvent,
    CustomerEstimate,
    EstimateEvent,
    Mail,
    MailRule,
    WorkOrder,
)
from jobs.public.link_queries import Linked
from jobs.returns.queries import bare_returns
from jobs.stages.table import CLOSED, May, stages_that
from shopapp.models import the_shop

LONGEST_CARE = timedelta(days=60)
FIELDS = {WorkOrder: "workorder", Booking: "booking", CustomerEstimate: "estimate"}
"""Where a mail keeps what it is about."""
HAS_MAIL = ~Q(customer__email="") & Q(customer__mail_off=False)


@dataclass(frozen=True, kw_only=True)
class Due:
    """A mail that is to be written: about what, for which moment, until when."""

    kind: Kind
    row: Linked
    due: datetime
    not_after: datetime

    @property
    def about(self) -> str:
        """The row in one word."""
        return about_of(self.row)


def about_of(row: Linked) -> str:
    """A row in one word, as `Mail.about` has it."""
    return f"{FIELDS[type(row)]} {row.pk}"


def due_now(*, now: datetime) -> list[Due]:
    """What is due and not written yet."""
    rule = mail_rule()
    found = [
        *(_estimates(rule, now=now) if rule.estimate else ()),
        *(_booked(rule, now=now) if rule.booked else ()),
        *(_day_before(rule, now=now) if rule.day_before else ()),
        *(_ready(now=now) if rule.ready else ()),
        *(_first_wash(rule, now=now) if rule.first_wash else ()),
        *(_recheck(rule, now=now) if rule.recheck else ()),
    ]
    due = [each for each in found if rule.since < each.due <= now]
    known = _known(due)
    return [each for each in due if (each.kind, each.about, each.due) not in known]


def _known(due: Iterable[Due]) -> set[tuple[str, str, datetime]]:
    rows = Mail.objects.filter(
        way=Mail.Way.MAIL, about__in={each.about for each in due}
    )
    return set(rows.values_list("kind", "about", "due"))


def _estimates(rule: MailRule, *, now: datetime) -> Iterator[Due]:
    """Estimates made or changed lately that nobody has answered."""
    events = EstimateEvent.objects.filter(
        what__in=["estimate_made", "estimate_changed"],
        done_at__gt=max(rule.since, now - FRESH),
        estimate__booking=None,
        estimate__ended_at=None,
    )
    newest = {
        event.estimate_id: event
        for event in events.select_related("estimate__customer").order_by("pk")
    }
    for event in newest.values():
        customer, at = event.estimate.customer, event.done_at
        if at <= now - RESTS and customer.email and not customer.mail_off:
            until = at + FRESH
            yield Due(kind=Kind.ESTIMATE, row=event.estimate, due=at, not_after=until)


def _booked(rule: MailRule, *, now: datetime) -> Iterator[Due]:
    """Bookings made or moved lately, once nobody changes them any more."""
    events = (
        BookingEvent.objects.filter(
            what__in=["booked", "booking_changed", "booking_restored"],
            done_at__gt=max(rule.since, now - FRESH),
            booking__state=Booking.State.BOOKED,
            booking__arrives_at__gt=now,
        )
        .select_related("booking__customer")
        .order_by("pk")
    )
    newest: dict[int, BookingEvent] = {}
    for event in events:
        if event.what != "booking_changed" or "arrives_at" in event.facts["changed"]:
            newest[event.booking_id] = event
    for event in newest.values():
        booking = event.booking
        customer = booking.customer
        rests = event.done_at <= now - RESTS
        if rests and customer.email and not customer.mail_off:
            until = min(booking.arrives_at, event.done_at + FRESH)
            yield Due(kind=Kind.BOOKED, row=booking, due=event.done_at, not_after=until)


def _day_before(rule: MailRule, *, now: datetime) -> Iterator[Due]:
    rows = Booking.objects.filter(
        HAS_MAIL,
        state=Booking.State.BOOKED,
        arrives_at__gt=now - FRESH,
        arrives_at__lt=now + 2 * FRESH,
    )
    zone = the_shop().zone
    told = _told_at([row.pk for row in rows])
    for row in rows:
        due = day_before(row.arrives_at, at=rule.day_before_at, zone=zone)
        # Whoever booked or moved it after that has just read it.
        if row.booked_at < due and told.get(row.pk, due) <= due:
            yield Due(kind=Kind.DAY_BEFORE, row=row, due=due, not_after=row.arrives_at)


def _told_at(pks: list[int]) -> dict[int, datetime]:
    """When each booking's customer was last written to about its day."""
    rows = Mail.objects.filter(kind=Kind.BOOKED, booking__in=pks).order_by("due")
    return {row.booking_id: row.due for row in rows if row.booking_id}


def _ready(*, now: datetime) -> Iterator[Due]:
    rows = WorkOrder.objects.filter(
        HAS_MAIL,
        Q(stage__in=stages_that(May.SETTLE), cure_over_at__lte=now)
        | Q(pk__in=bare_returns()),
    )
    for row in rows.select_related("vehicle", "film", "customer"):
        since = ready_since(row, now=now)
        if since and since > now - 3 * FRESH:
            yield Due(kind=Kind.READY, row=row, due=since, not_after=since + FRESH)


def _first_wash(rule: MailRule, *, now: datetime) -> Iterator[Due]:
    rows = WorkOrder.objects.filter(
        HAS_MAIL, stage=CLOSED, handed_over_at__gt=now - LONGEST_CARE
    )
    zone = the_shop().zone
    for row in rows.select_related("film"):
        assert row.handed_over_at is not None
        day = care_of(row, at=row.handed_over_at).wash_from
        due = on_day(day, at=rule.morning_at, zone=zone)
        if due <= now < due + FRESH:
            yield Due(kind=Kind.FIRST_WASH, row=row, due=due, not_after=due + FRESH)


def _recheck(rule: MailRule, *, now: datetime) -> Iterator[Due]:
    rows = WorkOrder.objects.filter(
        HAS_MAIL,
        stage=CLOSED,
        recheck_at__gt=now,
        recheck_at__lt=now + 2 * FRESH,
    )
    zone = the_shop().zone
    for row in rows:
        assert row.recheck_at is not None
        due = day_before(row.recheck_at, at=rule.day_before_at, zone=zone)
        yield Due(kind=Kind.RECHECK, row=row, due=due, not_after=row.recheck_at)
