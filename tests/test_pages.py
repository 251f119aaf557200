"""Every page, for everybody who may open it, with the rows of the furnished shop."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from http import HTTPStatus
from typing import Any
from urllib.parse import urlsplit

import pytest
from django.conf import settings
from django.contrib.staticfiles import finders
from django.db import connection
from django.db.models import Model
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import Resolver404, resolve, reverse

from jobs.coverage.catalogue import Body, panels_on
from jobs.models import (
    BookingPanel,
    FilmMovement,
    FilmReservation,
    Mark,
    OrderBatch,
    OrderPanel,
    OrderSolution,
    Payment,
    Pull,
    WorkOrder,
    WorkOrderEvent,
)
from jobs.stages.table import Stage
from shopapp.access import ALLOWED
from shopapp.security import POLICY
from tests.addresses import ROUTES, Route, known_for
from tests.furnished import Furnished
from tests.read_page import ReadPage
from tests.shop_fixtures import _furnished_copy, furnished_base, shop  # noqa: F401
from tests.visits import NOBODY, SITE, visit

PAGES = [route for route in ROUTES if "GET" in route.methods]
ROLES = ("desk", "installer", "manager")
BY_PATH = {"ids": lambda route: route.path or "/"}
HTMX = {"HX-Request": "true"}
BOOSTED = {"HX-Request": "true", "HX-Boosted": "true"}
MOST_QUERIES = 60
"""A page that needs more asks once a row somewhere."""


def readers(route: Route) -> list[str]:
    """The roles that may open it; nobody where it is open to all."""
    if not route.permission:
        return [NOBODY]
    return [role for role in ROLES if role in _allowed(route)]


@pytest.mark.parametrize("route", PAGES, **BY_PATH)
def test_every_page_is_whole_for_everybody_who_may_open_it(
    route: Route, shop: Furnished
):
    url = route.address(known_for(route, shop))
    for role in readers(route):
        found = visit(shop, role, url)
        policy = found.headers["Content-Security-Policy"]
        assert policy == POLICY or policy == "default-src 'none'; sandbox"
        assert found.headers["X-Content-Type-Options"] == "nosniff"
        page = found.page
        # pull_seen answers with the page's fragment alone.
        if page is None or route.name == "jobs:pull_seen":
            continue
        assert page.faults == [], role
        assert page.headings == 1, f"{role}: one h1"
        assert page.lang, role
        assert page.title.strip(), role
        twice = [name for name, count in Counter(page.ids).items() if count > 1]
        assert not twice, f"{role}: ids used twice"


@pytest.mark.parametrize("route", PAGES, **BY_PATH)
def test_a_page_asks_the_store_a_bounded_number_of_times(route: Route, shop: Furnished):
    url = route.address(known_for(route, shop))
    for role in readers(route):
        asked = visit(shop, role, url).queries
        assert asked <= MOST_QUERIES, f"{role}: {asked} queries"


@pytest.mark.parametrize("route", PAGES, **BY_PATH)
def test_htmx_gets_the_fragment_and_a_boosted_link_the_page(
    route: Route, shop: Furnished
):
    url = route.address(known_for(route, shop))
    for role in readers(route)[:1]:
        whole = visit(shop, role, url)
        if "HX-Request" not in whole.headers.get("Vary", ""):
            return
        assert "<html" in whole.text
        assert "<html" in visit(shop, role, url, **BOOSTED).text
        fragment = visit(shop, role, url, **HTMX).text
        assert "<html" not in fragment
        assert "<main" not in fragment
        assert fragment.strip()


# -- where a page leads ------------------------------------------------------------


@pytest.mark.parametrize("role", ROLES)
def test_every_link_and_button_leads_where_this_person_may_go(
    role: str, shop: Furnished
):
    seen: dict[str, str] = {}
    wrong: list[str] = []
    for route in PAGES:
        if role not in _allowed(route):
            continue
        url = route.address(known_for(route, shop))
        page = visit(shop, role, url).page
        if page is None:
            continue
        wrong += [f"{url} {bad}" for bad in _buttons_astray(page, role)]
        for link in page.links:
            seen.setdefault(link, url)
    # One link of each kind is followed: W-1 and W-2 are opened by the same view.
    wrong += _links_astray(shop, role, seen)
    assert not wrong, "\n".join(wrong)


def _allowed(route: Route) -> set[str]:
    return {str(held) for held in ALLOWED.get(route.permission, ())}


def _links_astray(shop: Furnished, role: str, seen: dict[str, str]) -> Iterable[str]:
    followed: Counter[str] = Counter()
    for link, page in seen.items():
        path = urlsplit(link).path
        if path.startswith(settings.STATIC_URL):
            if not finders.find(path.removeprefix(settings.STATIC_URL)):
                yield f"{page} links {link}: no such file"
            continue
        try:
            name = resolve(path).view_name
        except Resolver404:
            yield f"{page} links {link}: no such page"
            continue
        followed[name] += 1
        if followed[name] > 3:
            continue
        status = visit(shop, role, link.removeprefix(SITE)).status_code
        if status >= HTTPStatus.BAD_REQUEST:
            yield f"{page} links {link}: {status}"


def _buttons_astray(page: ReadPage, role: str) -> Iterable[str]:
    by_name: dict[str, Route] = {}
    for route in ROUTES:
        by_name[route.name] = route
    asked = [(form.action, form.method) for form in page.forms]
    asked += [(url, "") for url in page.asks]
    for url, method in asked:
        try:
            route = by_name[resolve(urlsplit(url).path).view_name]
        except Resolver404:
            yield f"sends to {url}: no such page"
            continue
        if method and method.upper() not in route.methods:
            yield f"sends {method} to {route.name}"
        if route.permission and role not in _allowed(route):
            yield f"offers {route.name}, which {role} may not do"


# -- as the shop grows ---------------------------------------------------------------


NOT_HERE = {"shopapp:trust_certificate", "shopapp:readyz"}
"""Away without a certificate, a Redis: `tests/shopapp` opens them with one."""
LISTS = [r for r in PAGES if not r.arguments and r.name not in NOT_HERE]


def test_twice_the_closed_orders_ask_no_more_of_the_store(shop: Furnished):
    client = Client()
    client.force_login(shop.mara)
    addresses = [route.address({}) for route in LISTS]
    before = {url: _queries(client, url) for url in addresses}
    _double_the_closed_orders()
    more = {
        url: (before[url], asked)
        for url in addresses
        if (asked := _queries(client, url)) != before[url]
    }
    assert more == {}


@pytest.mark.parametrize(
    "name",
    [
        "workorder_detail",
        "workorder_checks",
        "workorder_panels",
        "workorder_film",
        "workorder_mixing",
        "workorder_history",
        "handover_detail",
    ],
)
def test_a_big_car_asks_no_more_of_the_store_than_a_small_one(
    name: str, shop: Furnished
):
    client = Client()
    client.force_login(shop.mara)
    order = shop.inspection
    url = reverse(f"jobs:{name}", args=[order.pk])
    before = _queries(client, url)
    on_it = order.panels.values_list("panel", flat=True)
    body = panels_on(Body(order.vehicle.body))
    others = [panel.code for panel in body if panel.code not in on_it]
    assert len(others) > 12
    for code in others:
        OrderPanel.objects.create(
            workorder=order, panel=code, method="hand_fitted",
            edge="cut_short", badge="none", seam="none", laid_at=None,
        )  # fmt: skip
        _an_event_of(order)
    assert _queries(client, url) == before


def _an_event_of(order: WorkOrder) -> None:
    last = order.events.last()
    assert last is not None
    last.pk = None
    last._state.adding = True
    last.save()


def _queries(client: Client, url: str) -> int:
    client.get(url)  # what is cached once is not counted
    with CaptureQueriesContext(connection) as asked:
        answer = client.get(url)
    assert answer.status_code < HTTPStatus.BAD_REQUEST
    return len(asked)


def _double_the_closed_orders() -> None:
    for order in WorkOrder.objects.filter(stage=Stage.CLOSED):
        booking = order.booking
        assert booking is not None
        old_order, old_booking = order.pk, booking.pk
        new_booking = _again(booking)
        new_order = _again(
            order, number=f"{order.number}b", booking=new_booking, bay=None, place=None
        )
        for model in (BookingPanel, FilmReservation):
            for row in model._default_manager.filter(booking=old_booking):
                _again(row, booking=new_booking)
        for model in BY_ORDER:
            for row in model._default_manager.filter(workorder=old_order):
                _again(row, workorder=new_order)


BY_ORDER: tuple[type[Model], ...] = (
    OrderPanel,
    OrderSolution,
    OrderBatch,
    Payment,
    Mark,
    Pull,
    FilmMovement,
    WorkOrderEvent,
)


def _again(row: Any, **changed: Any) -> Any:
    row.pk = None
    row._state.adding = True
    for name, value in changed.items():
        setattr(row, name, value)
    row.save()
    return row
