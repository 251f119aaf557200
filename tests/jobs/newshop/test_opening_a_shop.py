"""A fresh base becomes a shop: its first manager, its steps, a test order."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from jobs.coverage.catalogue import Package
from jobs.models import (
    Booking,
    Customer,
    FilmReservation,
    Paper,
    PriceChange,
    WorkOrder,
)
from jobs.newshop.actions import choose_solutions, take_over, try_order
from jobs.newshop.machine_zone import measures_of
from jobs.newshop.queries import steps_now
from jobs.newshop.steps import Step
from jobs.prices.actions import fill_prices, raise_prices
from jobs.prices.list_queries import prices_on
from jobs.prices.queries import package_code
from jobs.rules.default_actions import load_defaults
from shopapp.first_manager import CODE
from shopapp.frame import Refused, Tap, perform
from shopapp.models import HistoryEntry, Person, Price, shop_date

pytestmark = pytest.mark.django_db
FIRST = {
    "first_name": "Rosa",
    "username": "rosa",
    "password": "film and water 26",
}


def do(action, /, *, by=None, at=None, **facts):
    """Press as this person."""
    tap = Tap.made_by(by, at=at or timezone.now(), via=HistoryEntry.Via.PAGE)
    return perform(tap, action, **facts)


@pytest.fixture
def rosa():
    """The first manager of a shop with nothing but the program's own defaults."""
    do(load_defaults)
    client = Client()
    client.post(reverse("shopapp:first_manager"), FIRST)
    return Person.objects.get()


def test_a_fresh_shop_leads_to_the_page_of_its_first_manager():
    client = Client()
    answer = client.get(reverse("shopapp:sign_in"))
    assert answer.url == reverse("shopapp:first_manager")
    answer = client.post(reverse("shopapp:first_manager"), FIRST)
    assert answer.url == reverse("jobs:open_shop")
    person = Person.objects.get()
    assert (person.first_name, person.is_manager) == ("Rosa", True)
    assert client.get(reverse("jobs:my_work")).status_code == 200


def test_there_is_one_first_manager_only():
    Client().post(reverse("shopapp:first_manager"), FIRST)
    late = FIRST | {"first_name": "Otto", "username": "otto"}
    answer = Client().post(reverse("shopapp:first_manager"), late)
    assert answer.url == reverse("shopapp:sign_in")
    assert Person.objects.count() == 1


@pytest.mark.parametrize(
    "away", [{"REMOTE_ADDR": "192.0.2.7"}, {"HTTP_X_FORWARDED_FOR": "127.0.0.1"}]
)
def test_from_another_machine_the_code_is_asked_for(away, monkeypatch):
    monkeypatch.setenv(CODE, "0a1b2c3d")
    url = reverse("shopapp:first_manager")
    assert Client().post(url, FIRST | {"code": "guess"}, **away).status_code == 422
    assert not Person.objects.exists()
    assert Client().post(url, FIRST | {"code": "0a1b2c3d"}, **away).status_code == 302
    assert Person.objects.count() == 1


def test_without_a_code_no_other_machine_names_the_manager(monkeypatch):
    monkeypatch.delenv(CODE, raising=False)
    url = reverse("shopapp:first_manager")
    answer = Client().post(url, FIRST | {"code": ""}, REMOTE_ADDR="192.0.2.7")
    assert answer.status_code == 422
    assert not Person.objects.exists()


def test_one_press_takes_over_what_is_offered_and_twice_does_no_harm(rosa):
    for _again in range(2):
        do(take_over, by=rosa, step="all")
    done = {each.step for each in steps_now() if each.is_done}
    asked = {Step.SHOP, Step.SOLUTIONS, Step.PRICES}
    assert set(Step) - done == asked


def test_a_shop_that_lays_with_all_in_one_gets_that_bottle_only(rosa):
    do(choose_solutions, by=rosa, used="all_in_one")
    do(take_over, by=rosa, step="bottles")
    there = {each.step: str(each.there) for each in steps_now()}
    assert there[Step.BOTTLES] == "A1"
    assert there[Step.SOLUTIONS] == "all-in-one"


def test_a_test_order_is_printed_and_leaves_nothing_else(rosa):
    do(take_over, by=rosa, step="all")
    answer = do(try_order, by=rosa)
    paper = Paper.objects.get(pk=answer["pk"])
    assert (paper.number, paper.workorder) == ("TEST-WO", None)
    assert paper.facts["number"] == "TEST"
    for model in (Booking, Customer, WorkOrder, FilmReservation):
        assert not model.objects.exists()


def test_a_test_order_says_what_comes_first(rosa):
    with pytest.raises(Refused):
        do(try_order, by=rosa)
    assert not Paper.objects.exists()


def test_the_safety_of_an_empty_shop_is_not_ok(rosa):
    client = Client()
    client.force_login(rosa)
    text = client.get(reverse("jobs:safety")).content.decode()
    assert "Every bay was measured" not in text
    head = text[text.index("<main") : text.index("All lines below together")]
    assert "OK" not in head


def test_one_price_fills_the_list_and_a_percentage_keeps_what_was_before(rosa):
    code = package_code(Package.FULL_FRONT, "D")
    long_ago = timezone.now() - timedelta(days=9)
    filled = {"full_front": Decimal(1890), "step": Decimal(10)}
    do(fill_prices, by=rosa, at=long_ago, **filled, size_E=Decimal("1.10"))
    do(raise_prices, by=rosa, pct=Decimal(5), step=Decimal(10))
    assert Price.objects.get(code=code).amount == Decimal(1980)
    larger = Price.objects.get(code=package_code(Package.FULL_FRONT, "E"))
    assert larger.amount == Decimal(2180)
    newest, first = PriceChange.objects.filter(code=code)
    assert (newest.before, newest.after) == (Decimal(1890), Decimal(1980))
    assert (first.before, newest.by) == (None, rosa)
    assert prices_on(shop_date(long_ago))[code] == Decimal(1890)
    assert prices_on(shop_date(timezone.now()))[code] == Decimal(1980)
    assert code not in prices_on(shop_date(long_ago) - timedelta(days=1))


def test_a_price_is_typed_as_it_is_printed(rosa):
    client = Client()
    client.force_login(rosa)
    code = package_code(Package.FULL_FRONT, "D")
    typed = {"key": "a-key-of-the-list", code: "1,950", "panel/hood": "$650"}
    client.post(reverse("jobs:prices_change"), typed)
    amounts = dict(Price.objects.values_list("code", "amount"))
    assert amounts == {code: Decimal(1950), "panel/hood": Decimal(650)}


def test_measures_go_with_the_zone():
    assert measures_of("US/Pacific").time_zone == "America/Los_Angeles"
    assert measures_of("America/Denver").paper_size == "Letter"
    assert measures_of("Europe/London").currency == "GBP"
