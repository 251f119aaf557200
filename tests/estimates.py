"""Estimates for tests: packages that are offered, and the link to them."""

from __future__ import annotations

from datetime import datetime, timedelta
from decimal import Decimal
from typing import Any

from django.utils import timezone

from jobs.coverage.catalogue import Body, Method, Package, default_choices
from jobs.customers.actions import VEHICLE_FIELDS
from jobs.estimates.accept_actions import accept_estimate
from jobs.estimates.actions import Offered, change_estimate, make_estimate
from jobs.estimates.queries import shown, with_versions
from jobs.models import CustomerEstimate, Film
from jobs.public.link_actions import make_link
from jobs.public.link_queries import hash_of
from shopapp.frame import perform
from shopapp.models import Person, shop_date
from tests.jobs.taps import do
from tests.makers import make_tap

FRONT, TRACK, WHOLE = Package.FULL_FRONT, Package.TRACK, Package.FULL_VEHICLE


def offered(
    package: Package = FRONT, *, price: int | str = 1490, **more: Any
) -> Offered:
    """A package for a sedan, at a price that somebody typed."""
    known = {
        "package": package,
        "panels": default_choices(package, body=Body.SEDAN, method=Method.HAND_FITTED),
        "film": Film.objects.order_by("pk")[0],
        "price": Decimal(price),
        "is_list_price": False,
        "minutes": 480,
    }
    return Offered(**{**known, **more})


def car(**more: Any) -> dict[str, Any]:
    """A sedan as it is typed."""
    known: dict[str, Any] = dict.fromkeys(VEHICLE_FIELDS, "")
    known |= {"model": "Saloon", "size_class": "D", "body": "sedan", "year": None}
    return {**known, **more}


def estimate_for(
    by: Person,
    *packages: Offered,
    name: str = "Noor Vale",
    phone: str = "555-0171",
    days: int = 30,
    at: datetime | None = None,
) -> CustomerEstimate:
    """An estimate of these packages; a full front and a track package where unsaid."""
    now = at or timezone.now()
    email = f"{name.split()[0].lower()}@example.com"
    customer = {"name": name, "phone": phone, "email": email, "is_account": False}
    answer = perform(
        make_tap(by, at=now),
        make_estimate,
        customer_pk=None,
        customer=customer,
        vehicle_pk=None,
        vehicle=car(),
        offered=packages or (offered(), offered(TRACK, price=2140)),
        valid_until=shop_date(now) + timedelta(days=days),
    )
    return CustomerEstimate.objects.get(pk=answer["pk"])


def send(
    by: Person, row: CustomerEstimate, *, token: str = "", at: datetime | None = None
) -> str:
    """The link to it, as the desk makes it; the token."""
    token = token or f"token-of-{row.number}"
    tap = make_tap(by, at=at or timezone.now())
    facts = {"estimate_pk": row.pk, "token_hash": hash_of(token), "days": 60}
    perform(tap, make_link, **facts)
    return token


def newest(row):
    return row.versions.order_by("-number")[0]


def yes(by, row, *, place=1, version=None, how="phone", name="Noor Vale", **more):
    version = version or newest(row)
    choice = version.choices.get(place=place)
    facts = {"version_pk": version.pk, "choice_pk": choice.pk, "how": how}
    do(by, accept_estimate, estimate_pk=row.pk, name=name, **facts, **more)


def change(by, row, *packages, **more):
    facts = {"valid_until": shop_date(timezone.now()) + timedelta(days=30), **more}
    do(
        by,
        change_estimate,
        estimate_pk=row.pk,
        vehicle=car(),
        offered=packages or (offered(price=1290),),
        **facts,
    )


def day_in(days):
    return f"{shop_date(timezone.now()) + timedelta(days=days):%Y-%m-%d}"


def seen(row):
    return shown(with_versions().get(pk=row.pk), now=timezone.now())


def told(row):
    return list(row.events.order_by("pk").values_list("what", flat=True))


def why(refused):
    return str(refused.value)
