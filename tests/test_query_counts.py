"""A page asks the store once for what it needs once."""

from __future__ import annotations

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from mixing.models import Dispenser
from tests.furnished import Furnished
from tests.shop_fixtures import _furnished_copy, furnished_base, shop  # noqa: F401

PAGES = ("mixing:dispensers", "mixing:bench_settings", "jobs:film_new", "jobs:floor")


def queries_of(client: Client, url: str) -> list[str]:
    """The statements of one page."""
    with CaptureQueriesContext(connection) as asked:
        assert client.get(url).status_code == 200
    return [query["sql"] for query in asked.captured_queries]


@pytest.fixture
def client(shop: Furnished) -> Client:  # noqa: F811
    client = Client()
    client.force_login(shop.mara)
    return client


@pytest.mark.parametrize("name", PAGES)
def test_the_shops_row_is_read_once_a_page(client, name):
    asked = queries_of(client, reverse(name))
    assert len([sql for sql in asked if 'FROM "shopapp_shop"' in sql]) == 1


def test_ten_more_dispensers_cost_no_query(client):
    url = reverse("mixing:dispensers")
    few = len(queries_of(client, url))
    for number in range(10):
        kept = Dispenser.objects.first()
        kept.pk, kept.name = None, f"syringe {number}"
        kept.save()
    assert len(queries_of(client, url)) == few
