"""Estimates as they stand: the newest version, what waits, what can be booked."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from decimal import Decimal
from typing import Any

from django.db.models import Prefetch, QuerySet
from django.utils import timezone
from django.utils.translation import gettext

from jobs.coverage.catalogue import Body, panel_name, panels
from jobs.estimates.standing import Standing, has_run_out, is_to_ask, standing_of
from jobs.models import (
    Booking,
    Customer,
    CustomerEstimate,
    CustomerLink,
    EstimateAcceptance,
    EstimateChoice,
    EstimateLine,
    EstimateRule,
    EstimateVersion,
    Paper,
)
from jobs.money.lines import LineKind, PriceLine
from jobs.prices.estimate import tax_within
from shopapp.models import the_shop
from shopapp.once import once_a_page


@once_a_page
def estimate_rule() -> EstimateRule:
    """How the shop makes estimates."""
    return EstimateRule.objects.filter(pk=1).first() or EstimateRule()


def today_at(now: datetime) -> date:
    """The shop's day."""
    return timezone.localtime(now, the_shop().zone).date()


def first_validity(*, now: datetime) -> date:
    """Until when a fresh estimate holds."""
    return today_at(now) + timedelta(days=estimate_rule().valid_days)


@dataclass(frozen=True, kw_only=True)
class ShownChoice:
    """A package as a page shows it."""

    row: EstimateChoice
    panels: tuple[str, ...]
    tax: Decimal
    is_accepted: bool


@dataclass(frozen=True, kw_only=True)
class ShownVersion:
    """A version of an estimate, and how it stands.

    has_run_out   it holds no more; one that was accepted stays as it was
    is_newest     no later version replaced it
    """

    row: EstimateVersion
    choices: tuple[ShownChoice, ...]
    acceptance: EstimateAcceptance | None
    has_run_out: bool
    is_newest: bool


@dataclass(frozen=True, kw_only=True)
class ShownEstimate:
    """An estimate with all its versions, the newest first."""

    row: CustomerEstimate
    versions: tuple[ShownVersion, ...]
    standing: Standing

    @property
    def newest(self) -> ShownVersion:
        """The version that stands."""
        return self.versions[0]

    @property
    def accepted_before(self) -> ShownVersion | None:
        """The version that was accepted and then replaced."""
        older = self.versions[1:]
        return next((each for each in older if each.acceptance), None)

    @property
    def can_be_answered(self) -> bool:
        """Whether the customer can still say yes."""
        return self.standing in (Standing.MADE, Standing.SENT, Standing.TO_ASK)

    @property
    def can_be_booked(self) -> bool:
        """Whether a booking can be made from it."""
        return self.can_be_answered or self.standing is Standing.ACCEPTED

    @property
    def to_book(self) -> tuple[ShownChoice, ...]:
        """The packages that can be booked: the accepted one, else each of them."""
        if not self.can_be_booked:
            return ()
        accepted = tuple(each for each in self.newest.choices if each.is_accepted)
        return accepted or self.newest.choices


def with_versions() -> QuerySet[CustomerEstimate]:
    """Estimates with all that a page shows of them."""
    choices = EstimateChoice.objects.select_related("film").prefetch_related(
        "lines", "panels", "works"
    )
    versions = (
        EstimateVersion.objects.order_by("-number")
        .select_related("acceptance__by", "made_by")
        .prefetch_related(Prefetch("choices", queryset=choices))
    )
    return CustomerEstimate.objects.select_related(
        "customer", "vehicle", "booking"
    ).prefetch_related(Prefetch("versions", queryset=versions))


def shown(row: CustomerEstimate, *, now: datetime) -> ShownEstimate:
    """An estimate of `with_versions` as it stands."""
    versions, today = list(row.versions.all()), today_at(now)
    known = tuple(
        _version(version, newest=versions[0], today=today) for version in versions
    )
    return ShownEstimate(
        row=row,
        versions=known,
        standing=standing_of(
            is_ended=row.ended_at is not None,
            is_booked=standing_booking(row) is not None,
            is_accepted=known[0].acceptance is not None,
            valid_until=versions[0].valid_until,
            sent_at=versions[0].sent_at,
            today=today,
            now=now,
        ),
    )


def _version(
    row: EstimateVersion, *, newest: EstimateVersion, today: date
) -> ShownVersion:
    acceptance = acceptance_of(row)
    return ShownVersion(
        row=row,
        choices=tuple(_choice(each, row, acceptance) for each in row.choices.all()),
        acceptance=acceptance,
        has_run_out=has_run_out(valid_until=row.valid_until, today=today),
        is_newest=row.pk == newest.pk,
    )


def _choice(
    row: EstimateChoice, version: EstimateVersion, acceptance: EstimateAcceptance | None
) -> ShownChoice:
    body, known = Body(version.body), panels()
    names = [
        panel_name(each.panel, body=body) if each.panel in known else each.panel
        for each in row.panels.all()
    ]
    return ShownChoice(
        row=row,
        panels=tuple(names),
        tax=tax_within(total=row.price, tax_pct=version.tax_pct),
        is_accepted=acceptance is not None and acceptance.choice_id == row.pk,
    )


def acceptance_of(version: EstimateVersion) -> EstimateAcceptance | None:
    """The customer's yes to this version."""
    found: EstimateAcceptance | None = getattr(version, "acceptance", None)
    return found


def standing_booking(row: CustomerEstimate) -> Booking | None:
    """What was booked from it and not cancelled."""
    booking = row.booking
    if booking is None or booking.state == Booking.State.CANCELLED:
        return None
    return booking


def newest_version(row: CustomerEstimate) -> EstimateVersion:
    """The version that stands."""
    return row.versions.order_by("-number")[0]


def has_open_link(row: CustomerEstimate, *, now: datetime) -> bool:
    """Whether the customer can read it by a link that was given."""
    links = CustomerLink.objects.filter(estimate=row, revoked_at=None)
    return links.filter(expires_at__gt=now).exists()


def estimates_waiting(*, now: datetime) -> list[ShownEstimate]:
    """Sent three days ago or earlier, and not answered: until somebody asked."""
    rows = with_versions().filter(ended_at=None).order_by("pk")
    known = [shown(row, now=now) for row in _not_booked(rows)]
    return [
        each
        for each in known
        if each.standing in (Standing.TO_ASK, Standing.RUN_OUT)
        and is_to_ask(sent_at=each.newest.row.sent_at, now=now)
    ]


def _not_booked(rows: QuerySet[CustomerEstimate]) -> QuerySet[CustomerEstimate]:
    gone = Booking.State.CANCELLED
    return rows.filter(booking=None) | rows.filter(booking__state=gone)


def open_estimates(*, now: datetime) -> list[ShownEstimate]:
    """Neither booked nor put away, the newest first."""
    rows = _not_booked(with_versions().filter(ended_at=None)).order_by("-pk")
    return [shown(row, now=now) for row in rows]


def estimates_of(customer: Customer, *, now: datetime) -> list[ShownEstimate]:
    """All that was offered to a customer, the newest first."""
    rows = with_versions().filter(customer=customer).order_by("-pk")
    return [shown(row, now=now) for row in rows]


LATEST = 50


def past_estimates(*, now: datetime) -> list[ShownEstimate]:
    """The latest that were booked or put away."""
    rows = with_versions()
    done = rows.exclude(booking=None).exclude(booking__state=Booking.State.CANCELLED)
    gone = rows.exclude(ended_at=None)
    return [shown(row, now=now) for row in (done | gone).order_by("-pk")[:LATEST]]


def works_of(choice: EstimateChoice) -> Sequence[dict[str, Any]]:
    """Other work as a booking takes it."""
    names = ("name", "minutes", "when", "skill", "price")
    works: Iterable[Any] = choice.works.all()
    return [{name: getattr(work, name) for name in names} for work in works]


def papers_of_estimate(row: CustomerEstimate) -> list[Paper]:
    """Its versions on paper, the newest first."""
    subjects = [estimate_subject(version.pk) for version in row.versions.all()]
    papers = Paper.objects.filter(kind=Paper.Kind.ESTIMATE, subject__in=subjects)
    return list(papers.order_by("-pk"))


def sent_subjects(row: CustomerEstimate) -> list[str]:
    """What the papers of its sent versions are kept under."""
    sent = row.versions.filter(sent_at__isnull=False)
    return [estimate_subject(pk) for pk in sent.values_list("pk", flat=True)]


def told_line(line: EstimateLine | PriceLine) -> str:
    """A line by its name; the package's is said in the reader's language."""
    if line.kind == LineKind.PACKAGE:
        package, _comma, film = line.name.rpartition(", ")
        return f"{gettext(package)}, {film}"
    if line.kind == LineKind.AGREED:
        return gettext("Less was agreed")
    return line.name


def estimate_subject(version_pk: int) -> str:
    """What the paper of a version is kept under."""
    return f"estimate {version_pk}"


def booking_subject(booking_pk: int) -> str:
    """What the confirmation of a booking is kept under."""
    return f"booking {booking_pk}"
