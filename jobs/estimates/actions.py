"""Estimates: made, changed by a new version, sent, printed, put away, booked from."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from typing import Any

from jobs import limits
from jobs.coverage.catalogue import Body, Package, PanelChoice, coverage_problems
from jobs.customers.actions import find_or_add_customer, find_or_add_vehicle
from jobs.estimates.queries import (
    acceptance_of,
    estimate_subject,
    has_open_link,
    newest_version,
    standing_booking,
    today_at,
)
from jobs.estimates.standing import MOST_CHOICES, MOST_WORKS, has_run_out
from jobs.models import (
    Booking,
    CustomerEstimate,
    EstimateChoice,
    EstimateLine,
    EstimatePanel,
    EstimateRule,
    EstimateVersion,
    EstimateWork,
    Film,
    Paper,
)
from jobs.money.line_queries import package_line
from jobs.money.lines import LineKind, PriceLine, PriceLines, lines_of
from jobs.money.queries import listed_for, tax_pct_for, tax_rule
from jobs.papers.actions import ask_paper
from shopapp.frame import Act, Json, Refused, action, refuse_outside
from shopapp.models import the_shop
from shopapp.numbering import numbered
from shopapp.say import say

Facts = Mapping[str, Any]
Sent = EstimateVersion.Sent
SHEETS = ("A4", "Letter")


@dataclass(frozen=True, kw_only=True)
class Offered:
    """One package that is offered, in the order of the page.

    price          tax and all
    is_list_price  nobody typed the price: the list's
    minutes        work of the film and beside it
    works          other work: name, minutes, when, skill, price
    """

    package: Package
    panels: tuple[PanelChoice, ...]
    film: Film
    price: Decimal
    is_list_price: bool
    minutes: int
    works: tuple[Facts, ...] = ()


@action("estimate.make")
def make_estimate(
    act: Act,
    *,
    customer_pk: int | None,
    customer: Facts,
    vehicle_pk: int | None,
    vehicle: Facts,
    offered: tuple[Offered, ...],
    valid_until: date,
    words: str = "",
    apart: bool = False,
) -> Json:
    """Offer one to three packages for a car.

    apart  another customer or car with a number that is known, and that is meant
    """
    _check(act, offered, body=vehicle["body"], valid_until=valid_until)
    owner = find_or_add_customer(customer_pk=customer_pk, typed=customer, apart=apart)
    car = find_or_add_vehicle(
        customer=owner, vehicle_pk=vehicle_pk, typed=vehicle, apart=apart
    )
    row = numbered(
        lambda number: CustomerEstimate.objects.create(
            number=number,
            customer=owner,
            vehicle=car,
            made_by=act.tap.by,
            made_at=act.now,
        ),
        model=CustomerEstimate,
        letter="E",
        at=act.now,
    )
    _write(act, row, number=1, offered=offered, valid_until=valid_until, words=words)
    act.event(row, "estimate_made", version="1")
    return {"pk": row.pk}


@action("estimate.change")
def change_estimate(
    act: Act,
    *,
    estimate_pk: int,
    vehicle: Facts,
    offered: tuple[Offered, ...],
    valid_until: date,
    words: str = "",
) -> Json:
    """Offer something else: a new version. What was sent or accepted stays."""
    row = act.lock(CustomerEstimate, estimate_pk)
    if standing_booking(row):
        raise Refused(say("This estimate is booked. Change the booking instead."))
    _check(act, offered, body=vehicle["body"], valid_until=valid_until)
    find_or_add_vehicle(customer=row.customer, vehicle_pk=row.vehicle_id, typed=vehicle)
    row.refresh_from_db()
    number = newest_version(row).number + 1
    version = _write(
        act, row, number=number, offered=offered, valid_until=valid_until, words=words
    )
    row.ended_at, row.ended_because = None, ""
    row.save(update_fields=["ended_at", "ended_because"])
    act.event(row, "estimate_changed", version=str(number))
    if has_open_link(row, now=act.now):
        # Her link shows the newest version from now on.
        _sent(act, row, version, how=Sent.LINK)
    return {"pk": row.pk}


def _check(
    act: Act, offered: tuple[Offered, ...], *, body: str, valid_until: date
) -> None:
    if not 1 <= len(offered) <= MOST_CHOICES:
        raise Refused(
            say("Choose one package, or up to {most}.", most=MOST_CHOICES),
            field="package",
        )
    today = today_at(act.now)
    if valid_until < today:
        raise Refused(say("This day has passed."), field="valid_until")
    if valid_until > today + timedelta(days=int(limits.VALID_DAYS.high)):
        raise Refused(say("Choose a day within a year."), field="valid_until")
    for each in offered:
        if problems := coverage_problems(each.panels, body=Body(body)):
            raise Refused(*problems, field="package")
        refuse_outside(limits.AGREED, vars(each))
        for work in each.works:
            refuse_outside(limits.WORK, work)
        if len(each.works) > MOST_WORKS:
            raise Refused(
                say("A package holds up to {most} other works.", most=MOST_WORKS),
                field="package",
            )


def _write(
    act: Act,
    row: CustomerEstimate,
    *,
    number: int,
    offered: tuple[Offered, ...],
    valid_until: date,
    words: str,
) -> EstimateVersion:
    rule, car = tax_rule(), row.vehicle
    version = EstimateVersion.objects.create(
        estimate=row,
        number=number,
        valid_until=valid_until,
        words=words.strip(),
        car=str(car)[:160],
        body=car.body,
        tax_name=rule.name,
        tax_pct=tax_pct_for(row.customer),
        is_tax_on_top=not rule.is_included,
        currency=the_shop().currency,
        made_by=act.tap.by,
        made_at=act.now,
    )
    for place, each in enumerate(offered, start=1):
        _write_choice(version, place, each)
    return version


def _write_choice(version: EstimateVersion, place: int, offered: Offered) -> None:
    price, customer = offered.price, version.estimate.customer
    if offered.is_list_price:
        price = listed_for(customer, total=price)
    choice = EstimateChoice.objects.create(
        version=version,
        place=place,
        package=offered.package.value,
        film=offered.film,
        price=price,
        minutes=offered.minutes,
    )
    EstimatePanel.objects.bulk_create(
        EstimatePanel(
            offered=choice,
            panel=each.panel,
            method=each.method,
            edge=each.edge,
            badge=each.badge,
            seam=each.seam,
            note=each.seam_at,
        )
        for each in offered.panels
    )
    EstimateWork.objects.bulk_create(
        EstimateWork(choice=choice, **work) for work in offered.works
    )
    EstimateLine.objects.bulk_create(
        EstimateLine(
            choice=choice, kind=line.kind.value, name=line.name, amount=line.amount
        )
        for line in _lines(version, offered, price=price).lines
    )


def _lines(version: EstimateVersion, offered: Offered, *, price: Decimal) -> PriceLines:
    """The lines of a package's price: they come to the price, to the cent."""
    codes = [each.panel for each in offered.panels]
    return lines_of(
        price=price,
        package=package_line(offered.package.value, codes, film=offered.film),
        others=[
            PriceLine(kind=LineKind.WORK, name=work["name"], amount=work["price"])
            for work in offered.works
            if work["price"]
        ],
        tax_name=f"{version.tax_name} {version.tax_pct.normalize():f} %",
        tax_pct=version.tax_pct,
        is_on_top=version.is_tax_on_top,
    )


def note_sent(act: Act, row: CustomerEstimate, *, how: str) -> None:
    """The customer has the newest version: from now on an answer is waited for.

    row  locked by the caller, who leaves an event of their own
    how  of `EstimateVersion.Sent`
    """
    version = newest_version(row)
    if version.sent_at is None:
        _sent(act, row, version, how=how)


def _sent(
    act: Act, row: CustomerEstimate, version: EstimateVersion, *, how: str
) -> None:
    version.sent_at, version.sent_how = act.now, how
    version.save(update_fields=["sent_at", "sent_how"])
    act.event(row, "estimate_sent", version=str(version.number), how=how)


@action("estimate.print")
def print_estimate(
    act: Act, *, estimate_pk: int, version_pk: int, size: str = ""
) -> Json:
    """Ask for a version on paper; the newest one counts as handed to the customer."""
    row = act.lock(CustomerEstimate, estimate_pk)
    if size and size not in SHEETS:
        raise Refused(say("This paper is A4 or Letter."), field="size")
    version = row.versions.filter(pk=version_pk).first()
    if version is None:
        raise Refused(say("This version is not of this estimate."))
    paper = ask_paper(
        act,
        kind=Paper.Kind.ESTIMATE,
        workorder=None,
        subject=estimate_subject(version.pk),
        size=size,
    )
    if version.pk == newest_version(row).pk:
        note_sent(act, row, how=Sent.PAPER)
    act.event(row, "estimate_printed", version=str(version.number), paper=paper)
    return {"pk": paper.pk}


@action("estimate.end")
def end_estimate(act: Act, *, estimate_pk: int, because: str = "") -> None:
    """Put it away: the customer does not want it. A new version opens it again."""
    row = act.lock(CustomerEstimate, estimate_pk)
    if standing_booking(row):
        raise Refused(say("This estimate is booked. Cancel the booking instead."))
    if row.ended_at:
        raise Refused(say("This estimate is put away already."))
    row.ended_at, row.ended_because = act.now, because.strip()
    row.save(update_fields=["ended_at", "ended_because"])
    act.event(row, "estimate_ended", because=row.ended_because)


def lock_to_book(act: Act, *, choice_pk: int) -> tuple[CustomerEstimate, str]:
    """The estimate of a package that is about to be booked, and what is said of it.

    Locked before anything of a booking: call it first.
    """
    choice = EstimateChoice.objects.select_related("version").filter(pk=choice_pk)
    found = choice.first()
    if found is None:
        raise Refused(say("This estimate is not there any more."))
    row, version = act.lock(CustomerEstimate, found.version.estimate_id), found.version
    if standing_booking(row):
        raise Refused(say("This estimate is booked already."))
    if row.ended_at:
        raise Refused(say("This estimate was put away. Make a new version of it."))
    if version.pk != newest_version(row).pk:
        raise Refused(say("A newer version of this estimate was made. Book that one."))
    acceptance = acceptance_of(version)
    if acceptance and acceptance.choice_id != found.pk:
        raise Refused(say("The customer accepted another package of this estimate."))
    today = today_at(act.now)
    if acceptance is None and has_run_out(valid_until=version.valid_until, today=today):
        raise Refused(
            say(
                "This estimate ran out on {day}. Make a new version of it.",
                day=version.valid_until,
            )
        )
    return row, f"{row.number}, version {version.number}"


def tie_booking(act: Act, row: CustomerEstimate, booking: Booking) -> None:
    """Keep what was booked from an estimate; refuse the booking of somebody else."""
    if booking.customer_id != row.customer_id:
        raise Refused(
            say("This estimate is of another customer. Take that customer."),
            field="name",
        )
    if booking.vehicle_id != row.vehicle_id:
        row.vehicle = booking.vehicle
    row.booking = booking
    row.save(update_fields=["booking", "vehicle"])
    act.event(row, "estimate_booked", booking=booking)


@action("estimaterule.change", within=limits.ESTIMATE_RULE)
def change_estimate_rule(act: Act, *, valid_days: int, bring: str = "") -> None:
    """How long an estimate holds, and what customers bring and prepare."""
    EstimateRule.objects.update_or_create(
        pk=1, defaults={"valid_days": valid_days, "bring": bring.strip()}
    )
