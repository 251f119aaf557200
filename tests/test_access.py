"""Who may open what: read from the URLconf, tried with every role."""

from __future__ import annotations

import re
from http import HTTPStatus
from pathlib import Path

import pytest
from django.test import Client
from django.urls import reverse

from shopapp.access import ALLOWED
from shopapp.frame import ACTIONS
from shopapp.models import Role
from tests.addresses import ROUTES, Route, foreign_for, known_for, unknown_for
from tests.furnished import Furnished
from tests.presses import NOT_PRESSES, PRESSES
from tests.rows import rows
from tests.shop_fixtures import _furnished_copy, furnished_base, shop  # noqa: F401
from tests.visits import visit

ROOT = Path(__file__).resolve().parent.parent
KEY = "a-key-of-this-press"
ROLES = ("desk", "installer", "manager", "stranger")
SHOWN = {
    HTTPStatus.OK,
    HTTPStatus.FOUND,
    HTTPStatus.SEE_OTHER,
    HTTPStatus.NO_CONTENT,
}
PRESSED = {HTTPStatus.OK, HTTPStatus.SEE_OTHER, HTTPStatus.UNPROCESSABLE_ENTITY}
NOT_THERE = {HTTPStatus.NOT_FOUND}
NOT_HERE = {"shopapp:trust_certificate", "shopapp:readyz", "shopapp:press_again"}
"""Away without a certificate, a Redis, a held press: `tests/shopapp` has them."""


def test_the_walk_finds_the_pages():
    assert len(ROUTES) > 60


@pytest.mark.parametrize("route", ROUTES, ids=lambda route: route.path or "/")
def test_every_view_says_who_may_open_it(route):
    view = route.view
    assert hasattr(view, "permission"), f"{route.name}: no @allow, no @open_to_all"


@pytest.mark.parametrize("route", ROUTES, ids=lambda route: route.path or "/")
def test_every_view_says_which_methods_it_takes(route):
    assert route.methods in ({"GET"}, {"POST"}, {"GET", "POST"})


def test_every_url_name_is_its_view_s_name():
    for route in ROUTES:
        if not hasattr(route.view, "does"):
            assert route.name.split(":")[-1] == route.view.__name__, route.name


def test_a_button_asks_for_the_permission_of_its_action():
    buttons = [route for route in ROUTES if hasattr(route.view, "does")]
    assert buttons
    for route in buttons:
        assert ACTIONS[route.permission] is route.view.does, route.name
        assert route.methods == {"POST"}, route.name


def test_every_action_has_a_permission_or_is_not_for_people():
    for name in ACTIONS:
        assert name in ALLOWED or name in NOT_FOR_PEOPLE, name


NOT_FOR_PEOPLE = {
    "film.look_ahead",
    "film.say_short",
    "mail.again",
    "mail.begin",
    "mail.end",
    "mail.write",
    "mark.decline",
    "mixing.defaults",
    "paper.issued",
    "person.first",
    "plan.improve",
    "plan.propose",
    "pull.improve",
    "recheck.ask",
    "report.send",
    # An action of a test: nobody but it presses it.
    "test.open_link",
    "shop.defaults",
}
"""Actions of the workers, of the first start, of a customer's link."""


def test_every_permission_guards_a_view_or_a_part_of_a_page():
    guarding = {route.permission for route in ROUTES}
    asked = set()
    for path in (ROOT / "templates").rglob("*.html"):
        asked |= set(re.findall(r'{% may "([a-z_.]+)"', path.read_text()))
    for package in ("jobs", "mixing", "shopapp"):
        for path in (ROOT / package).rglob("*.py"):
            asked |= set(re.findall(r'may\([^)]*"([a-z_.]+)"\)', path.read_text()))
    assert not set(ALLOWED) - guarding - asked


def test_every_permission_asked_for_exists():
    for path in (ROOT / "templates").rglob("*.html"):
        for permission in re.findall(r'{% may "([a-z_.]+)"', path.read_text()):
            assert permission in ALLOWED, f"{path.name}: {permission}"


def test_every_permission_is_somebody_s_and_no_role_is_a_typo():
    for permission, roles in ALLOWED.items():
        assert roles, permission
        assert roles <= set(Role), permission


# -- every role, every URL, every method -----------------------------------------

BY_PATH = {"ids": lambda route: route.path or "/"}


def holds(role: str, route: Route) -> bool:
    """Whether this role may open it."""
    if not route.permission:
        return True
    return role in {str(held) for held in ALLOWED[route.permission]}


def ask(client: Client, method: str, url: str, *, key: str = KEY):
    """One request; a press carries a key and nothing else."""
    return client.generic(
        method,
        url,
        f"key={key}" if method == "POST" else "",
        content_type="application/x-www-form-urlencoded",
    )


@pytest.mark.parametrize("route", ROUTES, **BY_PATH)
def test_every_role_gets_what_the_table_says(route: Route, shop: Furnished):
    url = route.address(known_for(route, shop))
    seen = {role: visit(shop, role, url).status_code for role in ROLES}
    for role in ROLES:
        client = Client()
        client.force_login(shop.people[role])
        for method in ("GET", "POST", "PUT", "DELETE"):
            status = seen[role]
            if method != "GET":
                status = ask(client, method, url, key=KEY + role).status_code
            said = f"{role} {method} {url}: {status}"
            if method not in route.methods:
                assert status == HTTPStatus.METHOD_NOT_ALLOWED, said
            elif not holds(role, route):
                assert status == HTTPStatus.FORBIDDEN, said
            elif route.name in NOT_HERE:
                assert status != HTTPStatus.INTERNAL_SERVER_ERROR, said
            elif method == "GET":
                assert status in SHOWN, said
            else:
                assert status in PRESSED | {HTTPStatus.FOUND}, said


@pytest.mark.parametrize("route", ROUTES, **BY_PATH)
def test_whoever_is_not_signed_in_is_led_to_the_sign_in(route: Route, shop: Furnished):
    url = route.address(known_for(route, shop))
    before = rows()
    for method in ("GET", "POST", "DELETE"):
        answer = ask(Client(), method, url)
        if route.permission:
            assert answer.status_code == HTTPStatus.FOUND, method
            assert answer.url.startswith(reverse("shopapp:sign_in")), method
        elif method in route.methods and route.name not in NOT_HERE:
            assert answer.status_code in SHOWN | PRESSED, method
        else:
            assert answer.status_code != HTTPStatus.INTERNAL_SERVER_ERROR, method
    if route.permission:
        assert rows() == before


WITH_ROWS = [route for route in ROUTES if route.arguments]


@pytest.mark.parametrize("route", WITH_ROWS, **BY_PATH)
def test_what_is_not_there_is_not_found(route: Route, shop: Furnished):
    known = unknown_for(route, shop)
    assert known is not None
    url = route.address(known)
    client = Client()
    client.force_login(shop.mara)
    before = rows()
    for method in route.methods:
        assert ask(client, method, url).status_code in NOT_THERE, f"{method} {url}"
    assert rows() == before


NESTED = [route for route in WITH_ROWS if len(route.arguments) > 1]


@pytest.mark.parametrize("route", NESTED, **BY_PATH)
def test_a_thing_of_another_order_is_out_of_reach(route: Route, shop: Furnished):
    """With a form that would be right for its own order."""
    known = foreign_for(route, shop)
    if known is None:
        assert route.path in ONE_SIDED, "say what stands there on another order"
        return
    url = route.address(known)
    typed = {}
    if route.name in PRESSES:
        typed = PRESSES[route.name](shop).typed
    client = Client()
    if not route.is_by_link:
        client.force_login(shop.mara)
    before = rows()
    if "GET" in route.methods:
        assert client.get(url).status_code in NOT_THERE
    if "POST" in route.methods:
        answer = client.post(url, {**typed, "key": KEY})
        assert answer.status_code in NOT_THERE | {HTTPStatus.UNPROCESSABLE_ENTITY}
    assert rows() == before


ONE_SIDED = {
    route.path
    for route in NESTED
    if set(route.arguments) & {"kind", "panel", "seen", "what", "version"}
}
"""The second argument is no row: a kind of solution, a panel's code, a date's name."""


def test_a_link_that_is_shut_or_has_run_out_opens_nothing(shop: Furnished):
    link = shop.links["closed"]
    row = link.workorder.links.get()
    page = reverse("jobs:customer_page", args=[link.token])
    assert Client().get(page).status_code == HTTPStatus.OK
    row.revoked_at = row.made_at
    row.save()
    assert Client().get(page).status_code == HTTPStatus.NOT_FOUND
    row.revoked_at, row.expires_at = None, row.made_at
    row.save()
    assert Client().get(page).status_code == HTTPStatus.NOT_FOUND


def test_the_sign_in_pages_are_tried_elsewhere():
    assert {route.name for route in ROUTES} >= NOT_PRESSES
