"""What the desk types and reads back: times, sums, marks, lengths."""

from __future__ import annotations

from datetime import date, timedelta
from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError
from django.utils import timezone

from jobs.cure.dates import CureRule, care_dates
from jobs.models import CustomerLink, FinalLook, WorkOrder
from jobs.public.customer_says import care_lines
from jobs.public.link_queries import hash_of, token_of
from jobs.stages.table import Stage
from mixing.models import Dispenser
from shopapp.amounts import Amount
from shopapp.models import Shop, the_shop
from tests.makers import make_workorder

pytestmark = pytest.mark.django_db
KEY = "k" * 16


@pytest.fixture
def desk_client(client, desk):
    client.force_login(desk)
    return client


def promised(order, **ahead):
    moment = timezone.now() + timedelta(**ahead)
    WorkOrder.objects.filter(pk=order.pk).update(promised_at=moment)
    return order


@pytest.mark.parametrize("press", ["promise/tell/", "promise/"])
def test_a_customer_is_not_told_a_time_that_has_passed(desk_client, press):
    order = make_workorder(at=timezone.now() - timedelta(days=3))
    promised(order, hours=-5)
    past = timezone.localtime(timezone.now() - timedelta(hours=1), the_shop().zone)
    answer = desk_client.post(
        f"/workorders/{order.pk}/{press}",
        {"key": KEY, "promised_at": f"{past:%Y-%m-%dT%H:%M}"},
    )
    assert "This time has passed. Choose a later one." in answer.content.decode()


def test_a_told_time_on_a_closed_day_is_said_at_once(desk_client):
    order = promised(make_workorder(), hours=-1)
    answer = desk_client.post(
        f"/workorders/{order.pk}/promise/tell/",
        {"key": KEY, "promised_at": "2031-05-11T10:00"},
        follow=True,
    )
    page = answer.content.decode()
    assert "Promised for Sunday, 11 May 2031: the shop is closed that day." in page


def test_a_recheck_on_a_closed_day_is_said_on_the_order_too(desk_client):
    order = make_workorder()
    WorkOrder.objects.filter(pk=order.pk).update(
        stage=Stage.CLOSED.value, recheck_at="2031-05-11T15:00:00Z"
    )
    page = desk_client.get(f"/workorders/{order.pk}/").content.decode()
    assert "The recheck is on Sunday, 11 May 2031: the shop is closed" in page


def test_the_history_writes_money_as_the_pages_do(desk_client):
    order = make_workorder()
    WorkOrder.objects.filter(pk=order.pk).update(price=Decimal(9000))
    desk_client.post(
        f"/workorders/{order.pk}/payments/record/",
        {"key": KEY, "amount": "1490", "how": "card"},
    )
    page = desk_client.get(f"/workorders/{order.pk}/history/").content.decode()
    assert "Paid 1,490.00 by card" in page


def test_before_anybody_looked_no_page_says_that_no_mark_was_found(desk_client):
    order = make_workorder()
    page = desk_client.get(f"/workorders/{order.pk}/sign/").content.decode()
    assert "No mark was found." not in page
    assert "No mark is written down." in page


def test_a_thousand_feet_too_long_is_asked_about_and_not_kept_as_one_foot():
    Shop.objects.update_or_create(pk=1, defaults={"units": "us"})
    field = Amount(unit="m", low=0.1, high=300)
    try:
        said = f"kept {field.clean('1,200')} m"
    except ValidationError as asked:
        (said,) = asked.messages
    assert said == "1,200 can mean two numbers: 1200 or 1.2000."
    # Typed with its unit it is the number beside the field.
    assert field.clean("50 ft") == pytest.approx(15.24)


def test_a_tax_rate_may_be_typed_with_its_sign(client, manager):
    client.force_login(manager)
    typed = {
        "key": KEY,
        "pct": "8.25%",
        "name": "Sales tax",
        "account_days": "30",
    }
    client.post("/prices/tax/change/", typed)
    page = client.get("/prices/").content.decode()
    assert "8.25 %" in page


def test_care_names_no_usual_time_beside_another_date_of_the_shop():
    day = date(2031, 5, 6)
    rule = CureRule(easy_days=5, pockets_days=42)
    own = care_lines(care_dates(handed_over_on=day, rule=rule), first_day=day)
    usual = care_lines(care_dates(handed_over_on=day, rule=CureRule()), first_day=day)
    for wording in ("48 hours", "2 to 4 weeks"):
        assert any(wording in str(line.what) for line in usual)
        assert not any(wording in str(line.what) for line in own)


def test_a_jug_marked_in_ml_is_listed_in_ml_in_a_us_shop(client, manager):
    client.force_login(manager)
    Shop.objects.update_or_create(pk=1, defaults={"units": "us"})
    Dispenser.objects.create(
        name="jug", form="jug", graduation_ml=5, error_ml=2.5, capacity_ml=250
    )
    page = client.get("/mixing/dispensers/").content.decode()
    assert "250 mL" in page
    assert "8.45 fl oz" not in page


def test_the_hand_over_list_gives_no_later_hour_for_a_car_that_is_ready(desk_client):
    now = timezone.now()
    order = promised(make_workorder(at=now - timedelta(days=1)), hours=6)
    WorkOrder.objects.filter(pk=order.pk).update(
        stage=Stage.CURE.value, cure_over_at=now - timedelta(hours=2)
    )
    FinalLook.objects.create(workorder=order, outcome="fine", at=now, round=order.round)
    page = desk_client.get("/handovers/").content.decode()
    row = page[page.index('data-label="Ready from"') :]
    assert "now" in row[: row.index("</td>")]


def test_the_customers_page_says_where_the_shop_is(client):
    Shop.objects.update_or_create(pk=1, defaults={"address": "12 Mill Road"})
    order = make_workorder()
    token = token_of(key="a link of a test")
    CustomerLink.objects.create(
        workorder=order,
        token_hash=hash_of(token),
        expires_at=timezone.now() + timedelta(days=9),
    )
    assert "12 Mill Road" in client.get(f"/c/{token}/").content.decode()
