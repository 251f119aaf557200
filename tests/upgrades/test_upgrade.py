"""A base that an earlier release made is migrated, opens, and tells the same.

On SQLite in this run, and on PostgreSQL where the run is on one.
"""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from django.test import Client
from django.urls import reverse

from jobs.models import WorkOrder
from shopapp.access import ALLOWED
from tests.addresses import ROUTES, Route, known_for
from tests.furnished import Furnished, rolled_back
from tests.upgrades.facts import FACTS
from tests.upgrades.kept import RELEASES, Upgraded, upgraded

pytestmark = pytest.mark.postgres

PAGES = [route for route in ROUTES if "GET" in route.methods]
ROLES = ("desk", "installer", "manager")
OF_AN_ORDER = [
    route
    for route in PAGES
    if route.path.startswith("workorders/<int:pk>/") and route.arguments == ["pk"]
]


@pytest.fixture(scope="module", params=RELEASES)
def base(request, tmp_path_factory, django_db_setup, django_db_blocker):
    """The kept base of a release, once for this module."""
    folder = tmp_path_factory.mktemp("kept")
    with django_db_blocker.unblock(), upgraded(request.param, folder) as found:
        yield found


@pytest.fixture
def shop(base: Upgraded, django_db_blocker) -> Iterator[Furnished]:
    """Its rows; what a page writes is rolled back."""
    with django_db_blocker.unblock(), rolled_back():
        yield Furnished()


@pytest.mark.parametrize("fact", FACTS)
def test_an_upgrade_changes_no_fact(fact: str, base: Upgraded):
    if fact not in base.before:
        pytest.skip("no fact of that release")
    assert base.after[fact] == base.before[fact]


def test_the_facts_are_many_and_none_is_empty(base: Upgraded):
    assert len(base.before) >= 30
    assert [name for name, rows in base.before.items() if not rows] == []


def address_of(route: Route, shop: Furnished, base: Upgraded) -> str | None:
    """Where a page lies; None for a page of things that this base is too old for."""
    try:
        return route.address(known_for(route, shop))
    except Exception:
        assert route.name not in base.pages, f"{route.name} led somewhere before"
        return None


@pytest.mark.parametrize("role", [*ROLES, ""], ids=lambda role: role or "anybody")
def test_every_page_of_an_old_base_opens(role: str, base: Upgraded, shop: Furnished):
    client = Client()
    if role:
        client.force_login(shop.people[role])
    routes = [
        route
        for route in PAGES
        if role in ({str(held) for held in ALLOWED.get(route.permission, ())} or {""})
    ]
    wrong = []
    for route in routes:
        url = address_of(route, shop, base)
        if url and route.name not in NOT_HERE:
            found = failures(client, url)
            # A page that is newer than the base may have no row to show.
            is_away = route.name not in base.pages and ": 404 " in "".join(found)
            wrong += [] if is_away else found
    assert wrong == []


NOT_HERE = {"shopapp:trust_certificate", "shopapp:readyz"}
"""Away without a certificate, a Redis."""


STAGES_THEN = ("intake", "prep", "install", "inspection", "cure", "closed")
"""Stages in which the kept base has orders."""


@pytest.mark.parametrize("stage", STAGES_THEN)
def test_every_page_of_every_old_order_opens(stage: str, shop: Furnished):
    client = Client()
    client.force_login(shop.mara)
    orders = WorkOrder.objects.filter(stage=stage).order_by("-pk")[:MOST]
    wrong = []
    for order in orders:
        for route in OF_AN_ORDER:
            wrong += failures(client, reverse(route.name, args=[order.pk]))
    assert orders
    assert wrong == []


MOST = 3
"""Orders of a stage: enough to meet rounds, pauses and redos."""


def failures(client: Client, url: str) -> list[str]:
    """What is wrong with the page there."""
    client.raise_request_exception = False
    answer = client.get(url)
    if answer.status_code < 400:
        return []
    failed = answer.exc_info[1] if getattr(answer, "exc_info", None) else ""
    return [f"{url}: {answer.status_code} {failed!r}"]
