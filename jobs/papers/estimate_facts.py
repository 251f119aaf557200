"""Facts of an estimate on paper: its packages side by side, and the yes to one."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime

from django.utils.translation import gettext

from jobs.coverage.catalogue import Body, panel_name, panels
from jobs.estimates.queries import acceptance_of, told_line
from jobs.models import (
    Coverage,
    EstimateAcceptance,
    EstimateChoice,
    EstimateVersion,
)
from jobs.papers.facts import Json, ShopFacts, shop_facts, to_json
from jobs.papers.money_facts import InvoiceLineFacts, SellerFacts, seller_facts
from jobs.prices.estimate import tax_within
from shopapp.models import shop_date


@dataclass(frozen=True, kw_only=True)
class CoveredFacts:
    """A panel to be covered, and how it is finished."""

    code: str
    name: str
    edge: str
    badge: str
    seam: str


@dataclass(frozen=True, kw_only=True)
class ChoiceFacts:
    """One package: what is covered, in which film, for how much."""

    place: int
    package: str
    film: str
    panels: tuple[CoveredFacts, ...]
    lines: tuple[InvoiceLineFacts, ...]
    price: str
    tax: str
    is_accepted: bool


@dataclass(frozen=True, kw_only=True)
class AcceptedFacts:
    """The customer's yes; `signature` names the drawing by its hash."""

    name: str
    how: str
    accepted_at: datetime
    address: str
    signature: str


@dataclass(frozen=True, kw_only=True)
class EstimateFacts:
    """Everything on an estimate."""

    shop: ShopFacts
    language: str
    seller: SellerFacts
    number: str
    version: int
    replaces: int | None
    made_on: date
    valid_until_on: date
    customer: str
    address: str
    vehicle: str
    plate: str
    body: str
    words: str
    tax_name: str
    tax_rate: str
    is_tax_on_top: bool
    choices: tuple[ChoiceFacts, ...]
    agreed: AcceptedFacts | None


def version_of(subject: str) -> EstimateVersion:
    """The version that a paper is about; subject "estimate 12"."""
    rows = EstimateVersion.objects.select_related(
        "estimate__customer", "estimate__vehicle", "acceptance__signature"
    )
    return rows.get(pk=int(subject.split()[1]))


def estimate_number(subject: str) -> str:
    """The number on the paper of a version: "E-26-0007-2"."""
    version = version_of(subject)
    return f"{version.estimate.number}-{version.number}"


def estimate_facts(subject: str) -> Json:
    """A version as it was offered, and whether it was accepted."""
    version = version_of(subject)
    row, yes = version.estimate, acceptance_of(version)
    return to_json(
        EstimateFacts(
            shop=shop_facts(),
            language=row.customer.language,
            seller=seller_facts(),
            number=row.number,
            version=version.number,
            replaces=version.number - 1 or None,
            made_on=shop_date(version.made_at),
            valid_until_on=version.valid_until,
            customer=row.customer.name,
            address=row.customer.address,
            vehicle=version.car,
            plate=row.vehicle.known_by,
            body=version.body,
            words=version.words,
            tax_name=version.tax_name,
            tax_rate=f"{version.tax_pct.normalize():f}",
            is_tax_on_top=version.is_tax_on_top,
            choices=tuple(
                _choice(each, version, yes) for each in version.choices.all()
            ),
            agreed=_accepted(yes) if yes else None,
        )
    )


def _choice(
    choice: EstimateChoice, version: EstimateVersion, yes: EstimateAcceptance | None
) -> ChoiceFacts:
    return ChoiceFacts(
        place=choice.place,
        package=gettext(choice.get_package_display()),
        film=choice.film.name,
        panels=covered(choice.panels.all(), body=Body(version.body)),
        lines=tuple(
            InvoiceLineFacts(
                kind=line.kind, name=told_line(line), amount=str(line.amount)
            )
            for line in choice.lines.all()
        ),
        price=str(choice.price),
        tax=str(tax_within(total=choice.price, tax_pct=version.tax_pct)),
        is_accepted=yes is not None and yes.choice_id == choice.pk,
    )


def _accepted(yes: EstimateAcceptance) -> AcceptedFacts:
    return AcceptedFacts(
        name=yes.name,
        how=yes.how,
        accepted_at=yes.at,
        address=yes.address or "",
        signature=yes.signature.sha256 if yes.signature else "",
    )


def covered(rows: Iterable[Coverage], *, body: Body) -> tuple[CoveredFacts, ...]:
    """Panels in the customer's language."""
    known = panels()
    return tuple(
        CoveredFacts(
            code=row.panel,
            name=gettext(panel_name(row.panel, body=body))
            if row.panel in known
            else row.panel,
            edge=row.edge,
            badge=row.badge,
            seam=row.seam,
        )
        for row in rows
    )
