"""The furnished shop is searched: its keys are whole, film and bottles are found."""

from __future__ import annotations

import importlib

import pytest
from django.apps import apps
from django.test import Client
from django.utils import timezone

from jobs.desk.search_queries import Found, found
from jobs.models import Booking, Customer, OffCut, Roll, SearchKey, Vehicle, WorkOrder
from jobs.search.models import Findable
from jobs.search.spelling import asked_for
from shopapp.models import Person, the_shop
from tests import makers
from tests.furnished import Furnished
from tests.shop_fixtures import _furnished_copy, furnished_base, shop  # noqa: F401

FINDABLE = (Customer, Vehicle, Booking, WorkOrder, Roll, OffCut)


def search(typed: str, *, knows_customers: bool) -> Found:
    return found(
        asked_for(typed),
        knows_customers=knows_customers,
        now=timezone.now(),
        shop=the_shop(),
    )


def all_keys() -> set[tuple[str, int, str]]:
    return set(SearchKey.objects.values_list("of", "row", "key"))


def keys_of(row: Findable) -> set[str]:
    kept = SearchKey.objects.filter(of=row.found_as, row=row.pk)
    return set(kept.values_list("key", flat=True))


@pytest.mark.parametrize("model", FINDABLE)
def test_the_shops_rows_have_their_keys(model: type[Findable], shop):  # noqa: F811
    rows = list(model._default_manager.all())
    assert rows
    for row in rows:
        assert keys_of(row) == row.search_keys(), row


def test_rows_of_before_get_the_same_keys_by_the_migration(shop):  # noqa: F811
    written = all_keys()
    SearchKey.objects.all().delete()
    name = "jobs.migrations.0020_found_in_any_spelling"
    importlib.import_module(name).keep_keys(apps, None)
    assert all_keys() == written


def test_rolls_by_code_and_lot_offcuts_and_bottles_by_code(shop: Furnished):  # noqa: F811
    roll = makers.make_roll(shop.roll.film, code="RX-77", lot="LOT 4-711")
    offcut = shop.offcuts[0]
    for knows in (True, False):
        for typed in ("rx77", "RX 77", "lot4711", "711"):
            assert roll in search(typed, knows_customers=knows).rolls
        assert offcut in search(offcut.code.lower(), knows_customers=knows).offcuts
        vessel = shop.clean_vessel
        assert vessel in search(vessel.code.lower(), knows_customers=knows).vessels


def test_every_page_has_the_field(shop: Furnished):  # noqa: F811
    client = Client()
    client.force_login(Person.objects.get(username="chidi"))
    for url in ("/floor/", "/work/", "/bookings/", "/film/", "/search/"):
        text = client.get(url).content.decode()
        assert 'action="/search/"' in text
        assert 'class="icon-button to-search" href="/search/"' in text
