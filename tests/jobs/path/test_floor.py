"""The floor board, the wall, my work."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from jobs.models import WorkOrder
from jobs.path.pages import board_fragment
from jobs.path.queries import floor
from jobs.stages.table import Stage
from jobs.templatetags.orders import _card
from jobs.workorders.actions import pause_job, set_crew
from tests.jobs.taps import do, make_order, page, tap
from tests.makers import (
    make_bay,
    make_booking,
    make_place,
    make_reading,
    make_vehicle,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def tablet(client, installer):
    client.force_login(installer)
    return client


def another(installer, number: int, **fields) -> WorkOrder:
    now = timezone.now()
    booking = make_booking(vehicle=make_vehicle(plate=f"TST {number}"), at=now)
    return make_order(installer, booking=booking, **fields)


def test_a_car_stands_where_it_was_put(installer):
    bay, yard = make_bay(), make_place()
    in_bay = another(installer, 1, bay=bay)
    in_yard = another(installer, 2, place=yard)
    now = floor(now=timezone.now())
    assert [car.order for car in now.bays[0].cars] == [in_bay]
    assert [car.order for car in now.places[0].cars] == [in_yard]
    assert now.nowhere == ()


def test_a_car_without_a_place_is_not_lost(installer):
    order = another(installer, 1)
    assert [car.order for car in floor(now=timezone.now()).nowhere] == [order]


def test_a_closed_order_leaves_the_floor(installer):
    order = another(installer, 1, bay=make_bay())
    WorkOrder.objects.filter(pk=order.pk).update(stage=Stage.CLOSED.value)
    assert floor(now=timezone.now()).bays[0].cars == ()


def test_a_paused_car_says_what_it_waits_for(tablet, installer):
    order = another(installer, 1, bay=make_bay())
    do(installer, pause_job, workorder_pk=order.pk, because="the tar remover")
    text = page(tablet, "floor")
    assert "paused" in text
    assert "waits for: the tar remover" in text


def test_a_settling_car_that_is_late_says_both(tablet, installer):
    order = another(installer, 1, bay=make_bay(), stage=Stage.INSTALL)
    now = timezone.now()
    WorkOrder.objects.filter(pk=order.pk).update(
        stage=Stage.CURE.value,
        cure_over_at=now + timedelta(hours=3),
        promised_at=now - timedelta(minutes=5),
    )
    text = page(tablet, "floor")
    assert "settling" in text
    assert "late" in text


def test_a_bay_shows_todays_air_and_not_yesterdays(tablet, installer):
    order = another(installer, 1, bay=make_bay())
    make_reading(order, at=timezone.now() - timedelta(days=2), air_c=11.0)
    assert "no reading today" in page(tablet, "floor")
    make_reading(order, at=timezone.now(), air_c=23.0)
    assert "23 °C" in page(tablet, "floor")


def test_the_floor_asks_the_same_queries_however_many_cars(tablet, installer):
    bays = [make_bay(f"Bay {number}") for number in (1, 2)]
    another(installer, 1, bay=bays[0])
    with CaptureQueriesContext(
        connection,
    ) as few:
        board_fragment()
    for number in range(2, 8):
        order = another(installer, number, place=None)
        if number % 2:
            WorkOrder.objects.filter(pk=order.pk).update(stage=Stage.CLOSED.value)
    with CaptureQueriesContext(connection) as many:
        board_fragment()
    assert len(many) == len(few)
    # Open days, holidays and the cure table say who is at risk.
    assert len(few) <= 11


def test_the_pushed_board_is_the_same_for_everyone_and_has_no_form(installer):
    another(installer, 1, bay=make_bay())
    text = board_fragment()
    assert text == board_fragment()
    assert "<form" not in text
    assert "csrf" not in text


def test_the_wall_has_nothing_to_press(tablet, installer):
    another(installer, 1, bay=make_bay())
    text = page(tablet, "wall")
    assert "TST 1" in text
    assert "<button" not in text


def test_my_work_names_the_next_step_of_my_cars(tablet, installer):
    order = another(installer, 1, stage=Stage.PREP)
    do(installer, set_crew, workorder_pk=order.pk, people=[installer])
    text = page(tablet, "my_work")
    assert "Wipe the first panel and mark it ready." in text
    assert reverse("jobs:workorder_panels", args=[order.pk]) in text


def test_a_car_that_nobody_has_is_taken_by_one_tap(tablet, installer):
    order = another(installer, 1)
    assert "I take it" in page(tablet, "my_work")
    tap(tablet, "workorder_crew", order.pk, people=installer.pk)
    assert list(order.crew.all()) == [installer]


def test_another_persons_car_is_not_in_my_work(tablet, installer, manager):
    order = another(installer, 1)
    do(manager, set_crew, workorder_pk=order.pk, people=[manager])
    assert order.number not in page(tablet, "my_work")
    assert "TST 1" not in page(tablet, "my_work")


def ask_again(tablet, etag):
    headers = {"HX-Request": "true", "If-None-Match": f'"{etag}"'}
    return tablet.get(reverse("jobs:my_work"), headers=headers)


def test_my_work_is_sent_again_only_when_it_has_changed(tablet, installer, manager):
    mine, other = another(installer, 1), another(installer, 2)
    for order, who in ((mine, installer), (other, manager)):
        do(who, set_crew, workorder_pk=order.pk, people=[who])
    etag = ask_again(tablet, "").headers["ETag"].strip('"')
    assert f'data-etag="{etag}"' in page(tablet, "my_work")
    assert ask_again(tablet, etag).status_code == 304
    do(manager, pause_job, workorder_pk=other.pk, because="a clip")
    assert ask_again(tablet, etag).status_code == 304
    do(installer, pause_job, workorder_pk=mine.pk, because="a clip")
    assert "waits for: a clip" in ask_again(tablet, etag).content.decode()


def test_my_work_of_one_person_is_never_taken_for_anothers(client, tablet, manager):
    etag = ask_again(tablet, "").headers["ETag"].strip('"')
    client.force_login(manager)
    assert ask_again(client, etag).status_code == 200


def test_after_a_press_only_the_card_of_that_car_is_drawn(installer):
    orders = [another(installer, number) for number in (1, 2, 3)]
    board_fragment()
    drawn = _card.cache_info().misses
    do(installer, pause_job, workorder_pk=orders[1].pk, because="a clip")
    assert "waits for: a clip" in board_fragment()
    assert _card.cache_info().misses == drawn + 1


def test_my_work_asks_the_same_however_many_cars_are_mine(client, installer):
    client.force_login(installer)

    def queries_with_one_more() -> int:
        order = make_order(installer)
        do(installer, set_crew, workorder_pk=order.pk, people=[installer])
        with CaptureQueriesContext(connection) as asked:
            assert f"/workorders/{order.pk}/" in page(client, "my_work")
        return len(asked)

    queries_with_one_more()
    assert queries_with_one_more() == queries_with_one_more()
