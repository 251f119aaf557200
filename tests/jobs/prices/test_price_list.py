"""The price list: who keeps it, what is refused, who reads what."""

from __future__ import annotations

from decimal import Decimal

import pytest

from jobs.coverage.catalogue import Package
from jobs.prices.queries import package_code
from shopapp.models import Price

pytestmark = pytest.mark.django_db
KEY = "k" * 16


def test_a_manager_keeps_prices_and_an_empty_cell_is_no_price(client, manager):
    code = package_code(Package.FULL_FRONT, "D")
    Price.objects.create(code="panel/hood", label="hood", amount=Decimal(450))
    client.force_login(manager)
    response = client.post("/prices/change/", {"key": KEY, code: "1999.50"})
    kept = Price.objects.get()
    assert response.status_code == 303
    assert (kept.code, kept.amount) == (code, Decimal("1999.50"))
    assert 'value="1999.50"' in client.get("/prices/").content.decode()


def test_a_price_below_nothing_is_refused_and_stays_typed(client, manager):
    code = package_code(Package.FULL_FRONT, "D")
    client.force_login(manager)
    response = client.post("/prices/change/", {"key": KEY, code: "-5"})
    assert response.status_code == 422
    assert 'value="-5"' in response.content.decode()
    assert not Price.objects.exists()


def test_the_desk_reads_prices_but_neither_changes_them_nor_sees_the_cost(client, desk):
    Price.objects.create(code="cost/hour", label="hour", amount=Decimal("47.11"))
    client.force_login(desk)
    assert "47.11" not in client.get("/prices/").content.decode()
    assert client.post("/prices/change/", {"key": KEY}).status_code == 403
