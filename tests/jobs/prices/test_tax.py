"""The shop's tax: in the prices or on top of them, and never in the margin."""

from __future__ import annotations

from decimal import Decimal

import pytest
from django.utils import timezone

from jobs.additions.actions import add_work
from jobs.coverage.catalogue import Package
from jobs.models import Booking, Film, WorkOrder
from jobs.prices.queries import COST_PER_HOUR, package_code
from shopapp.frame import perform
from shopapp.models import Person, Price
from tests.makers import make_film, make_roll, make_tap

KEY = "k" * 16


@pytest.fixture
def boss(db, client, manager):
    """A manager at the desk of a shop with a price list."""
    client.force_login(manager)
    make_roll(make_film())
    code = package_code(Package.FULL_FRONT, "D")
    Price.objects.create(code=code, label="full front", amount=Decimal(1190))
    Price.objects.create(code=COST_PER_HOUR, label="an hour", amount=Decimal(10))
    return client


def set_tax(client, pct, *, included):
    typed = {"key": "t" * 16, "pct": pct, "name": "Sales tax", "account_days": "30"}
    typed |= {"is_included": "on"} if included else {}
    return client.post("/prices/tax/change/", typed)


def typed_in(**typed):
    known = {
        "key": KEY,
        "name": "Robin Ash",
        "model": "Saloon",
        "vin": "1M8GDM9AXKP042788",
        "size_class": "D",
        "body": "sedan",
        "package": "full_front",
        "package_shown": "",
        "method": "hand_fitted",
        "film": Film.objects.get().pk,
        "arrives_at": "2031-05-07T09:00",
        "promised_at": "2031-05-09T16:00",
    }
    return {**known, **typed}


def look(client, **typed):
    answer = client.post("/bookings/look/", typed_in(**typed))
    return answer.content.decode(), answer.context["figures"]


def test_tax_in_the_prices_is_named_and_the_sum_stays(boss):
    set_tax(boss, "19", included=True)
    page, worked_out = look(boss)
    # 1190 x 19 / 119 = 190.
    assert "of it Sales tax 19 %" in page
    assert worked_out.estimate.total == Decimal("1190.00")
    assert worked_out.estimate.tax == Decimal("190.00")


def test_tax_on_top_is_a_line_and_in_the_sum(boss):
    set_tax(boss, "8.25", included=False)
    page, worked_out = look(boss)
    # 1190 x 0.0825 = 98.175, half a cent up.
    assert "Sales tax 8.25 %" in page
    assert worked_out.estimate.total == Decimal("1288.18")


def test_the_margin_is_of_the_net_price(boss):
    set_tax(boss, "19", included=True)
    page, worked_out = look(boss, price="1190")
    assert worked_out.margin.amount == Decimal("1000.00") - worked_out.cost.total
    assert "Left over, without tax" in page


def test_what_is_agreed_holds_the_tax_and_keeps_that_of_its_day(boss):
    set_tax(boss, "8.25", included=False)
    boss.post("/bookings/make/", typed_in())
    booking = Booking.objects.get()
    assert booking.price == Decimal("1288.18")
    set_tax(boss, "10", included=False)
    boss.post(f"/arrivals/{booking.pk}/take-in/", {"key": KEY + "a"})
    order = WorkOrder.objects.get()
    page = boss.get(f"/bookings/{booking.pk}/").content.decode()
    assert "of it tax 98.18 USD" in page
    page = boss.get(f"/workorders/{order.pk}/handover/").content.decode()
    assert '<th scope="row">Sales tax 8.25 %</th><td class="num">98.18 USD</td>' in page


def test_work_added_on_the_order_brings_its_tax_on_top(boss):
    set_tax(boss, "10", included=False)
    boss.post("/bookings/make/", typed_in(price="1100"))
    booking = Booking.objects.get()
    boss.post(f"/arrivals/{booking.pk}/take-in/", {"key": KEY + "a"})
    order = WorkOrder.objects.get()
    work = {"name": "clay", "minutes": 30, "when": "in_prep", "skill": "prep"}
    tap = make_tap(Person.objects.get(is_manager=True), at=timezone.now())
    perform(tap, add_work, workorder_pk=order.pk, price=Decimal(100), **work)
    order.refresh_from_db()
    assert order.price == Decimal("1210.00")


@pytest.mark.django_db
def test_the_desk_reads_the_tax_and_does_not_set_it(client, desk):
    client.force_login(desk)
    assert set_tax(client, "8", included=True).status_code == 403
    assert "Tax: 0 %, in the prices" in client.get("/prices/").content.decode()


@pytest.mark.parametrize("pct", ["-1", "101", "lots"])
def test_a_rate_that_is_none_is_refused_and_stays_typed(boss, pct):
    answer = set_tax(boss, pct, included=True)
    assert answer.status_code == 422
    assert f'value="{pct}"' in answer.content.decode()
