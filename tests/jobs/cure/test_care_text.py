"""What the customer is told of fresh film: the same on phone and paper."""

from __future__ import annotations

from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from django.utils import formats, timezone

from jobs.handover.actions import give_car
from jobs.models import CustomerLink, WorkOrder
from jobs.papers.care_facts import care_facts
from jobs.public.link_queries import hash_of, token_of
from jobs.stages.table import Stage
from shopapp.frame import perform
from shopapp.models import the_shop
from tests.makers import make_booking, make_film, make_tap, make_workorder

pytestmark = pytest.mark.django_db
CHICAGO = ZoneInfo("America/Chicago")
LEFT = datetime(2031, 5, 6, 15, tzinfo=CHICAGO)  # a Tuesday


@pytest.fixture
def order(manager):
    return handed_over(manager)


def handed_over(manager, **film):
    booked = make_booking(manager, film=make_film(**film), at=LEFT - timedelta(days=2))
    order = make_workorder(manager, booking=booked, at=LEFT - timedelta(days=1))
    WorkOrder.objects.filter(pk=order.pk).update(
        stage=Stage.CURE.value, cure_over_at=LEFT - timedelta(hours=4)
    )
    tap = make_tap(manager, at=LEFT)
    perform(tap, give_car, workorder_pk=order.pk, how="signature")
    return WorkOrder.objects.get(pk=order.pk)


def told(order):
    """The sentences of the paper with their days."""
    return {
        line["what"]: line["until_on"] for line in care_facts(order, at=LEFT)["lines"]
    }


def until(order, *words):
    return [
        day
        for what, day in told(order).items()
        if all(word in what.lower() for word in words)
    ]


def phone(client, order):
    token = token_of(key="a link of a test")
    CustomerLink.objects.create(
        workorder=order,
        token_hash=hash_of(token),
        expires_at=timezone.now() + timedelta(days=10),
    )
    return client.get(f"/c/{token}/").content.decode()


def test_nothing_of_fresh_film_ends_the_day_it_begins(order):
    assert "2031-05-06" not in told(order).values()


def test_fast_roads_are_taken_easy_for_two_days(order):
    assert until(order, "fast roads") == ["2031-05-08"]


def test_nobody_presses_or_picks_for_two_weeks(order):
    assert until(order, "press or pick", "pockets", "edges") == ["2031-05-20"]


def test_no_wash_for_a_week_and_pockets_are_watched_for_four(order):
    assert until(order, "do not wash") == ["2031-05-13"]
    assert until(order, "pockets", "2 to 4 weeks", "cold") == ["2031-06-03"]


def test_bird_lime_on_any_day_has_an_answer(order):
    [line] = [what for what in told(order) if "bird lime" in what.lower()]
    assert "wet cloth" in line
    assert "five minutes" in line
    assert "dab" in line
    assert told(order)[line] is None


def test_rain_and_sun_are_said_to_be_fine(order):
    assert "Rain and sun are fine." in told(order)


def test_then_washing_says_from_which_day(client, order):
    page = phone(client, order)
    assert "touch-free, never with brushes" in page
    assert "from Tue 13 May" in page


def test_wax_is_named_on_matte_film_only(manager):
    gloss = " ".join(told(handed_over(manager)))
    matte = " ".join(told(handed_over(manager, code="FM", finish="matte")))
    assert "wax" not in gloss
    assert "wax" in matte


def test_the_phone_page_says_what_to_do_when_an_edge_lifts(client, order):
    shop = the_shop()
    shop.phone = "555-0100"
    shop.save()
    page = phone(client, order)
    assert "An edge lifts, or something looks wrong?" in page
    assert "Do not press or pull at it." in page
    # In the box, where the shop is, and at the foot.
    assert page.count("tel:555-0100") == 3


def test_phone_and_paper_say_the_same(client, order):
    page = phone(client, order)
    for what, day in told(order).items():
        assert what in page
        if day:
            on = formats.date_format(datetime.fromisoformat(day), "D j M")
            assert f"until {on}" in page
