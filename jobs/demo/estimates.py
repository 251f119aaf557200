"""Estimates of the demo shop: one sent four days ago that nobody has answered."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import Any

from jobs.bookings.figure_queries import booking_figures
from jobs.coverage.catalogue import Body, Method, Package, default_choices
from jobs.customers.actions import VEHICLE_FIELDS
from jobs.estimates.actions import Offered, make_estimate
from jobs.models import Film
from jobs.public.link_actions import make_link
from jobs.public.link_queries import hash_of, token_of
from shopapp.frame import Answer, Tap, perform
from shopapp.models import HistoryEntry, Person

DAYS_AGO = timedelta(days=4)
PACKAGES = (Package.PARTIAL_FRONT, Package.FULL_FRONT, Package.TRACK)
CUSTOMER = {
    "name": "Imani Frost",
    "phone": "555-0164",
    "email": "imani.frost@example.com",
    "is_account": False,
}
CAR = {"make": "Example", "model": "Coast Coupe", "year": 2026, "size_class": "C"}
BODY = Body.COUPE


def offer_packages(*, by: Person, now: datetime) -> None:
    """Three packages side by side, and the link to them."""
    at = now - DAYS_AGO
    made = _press(
        by,
        at,
        make_estimate,
        customer_pk=None,
        customer=CUSTOMER,
        vehicle_pk=None,
        vehicle=_car(),
        offered=tuple(_offered(package) for package in PACKAGES),
        valid_until=(now + timedelta(days=26)).date(),
    )
    _press(
        by,
        at + timedelta(minutes=2),
        make_link,
        token_hash=hash_of(token_of(key=f"demo-estimate-{made['pk']}")),
        days=60,
        estimate_pk=made["pk"],
    )


def _car() -> dict[str, Any]:
    known = dict.fromkeys(VEHICLE_FIELDS, "")
    return {**known, **CAR, "body": BODY.value, "colour": "pale grey"}


def _offered(package: Package) -> Offered:
    film = Film.objects.filter(in_use=True)[0]
    panels = default_choices(package, body=BODY, method=Method.HAND_FITTED)
    known = {"package": package, "panels": panels, "film": film, **_car()}
    figures = booking_figures(known)
    assert figures is not None
    assert figures.estimate.is_complete
    return Offered(
        package=package,
        panels=panels,
        film=film,
        price=figures.estimate.total,
        is_list_price=True,
        minutes=round(figures.work.value),
    )


def _press(by: Person, at: datetime, do: Any, **facts: Any) -> Answer:
    key, via = f"demo-{do.action_name}-of-an-estimate", HistoryEntry.Via.DEMO
    return perform(Tap.made_by(by, at=at, via=via, key=key), do, **facts)
