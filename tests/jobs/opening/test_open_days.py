"""Open days, holidays and hours: what is said of a time when the shop is closed."""

from __future__ import annotations

from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from jobs.handover.actions import give_car
from jobs.models import WorkOrder
from jobs.stages.table import Stage
from shopapp.frame import perform
from shopapp.management.commands.demo import Command
from tests.makers import make_film, make_roll, make_tap, make_workorder

pytestmark = pytest.mark.django_db
KEY = "k" * 16
CHICAGO = ZoneInfo("America/Chicago")
# 9 May 2031 is a Friday.
SATURDAY = datetime(2031, 5, 10, 10, tzinfo=CHICAGO)


@pytest.fixture
def desk_client(client, desk):
    client.force_login(desk)
    return client


def look(client, **typed):
    film = make_film()
    make_roll(film)
    known = {
        "key": KEY,
        "size_class": "D",
        "body": "sedan",
        "package": "single_panels",
        "package_shown": "single_panels",
        "panel_hood": "on",
        "method": "hand_fitted",
        "film": film.pk,
        "arrives_at": "2031-05-07T09:00",
        "promised_at": "2031-05-09T16:00",
    }
    answer = client.post("/bookings/look/", {**known, **typed})
    return answer.content.decode()


def test_a_promise_on_a_closed_day_is_said_while_one_books(desk_client):
    page = look(desk_client, promised_at="2031-05-11T10:00")
    assert "Promised for Sunday, 11 May 2031: the shop is closed that day." in page


def test_an_arrival_at_night_is_said_while_one_books(desk_client):
    page = look(desk_client, arrives_at="2031-05-07T23:00")
    assert "the shop is open 08:00 to 18:00 that day" in page


def test_a_time_in_opening_hours_is_not_remarked_on(desk_client):
    page = look(desk_client)
    assert "the shop is closed" not in page
    assert "the shop is open" not in page


def test_another_promise_on_a_closed_day_is_said_on_the_order(desk_client):
    order = make_workorder()
    url = f"/workorders/{order.pk}/promise/"
    desk_client.post(url, {"key": KEY, "promised_at": "2031-05-11T10:00"})
    page = desk_client.get(f"/workorders/{order.pk}/").content.decode()
    assert "Promised for Sunday, 11 May 2031: the shop is closed that day." in page


def handed_over(manager, at):
    """A car that left then."""
    order = make_workorder(manager, at=at - timedelta(days=2))
    WorkOrder.objects.filter(pk=order.pk).update(
        stage=Stage.CURE.value, cure_over_at=at - timedelta(hours=4)
    )
    perform(make_tap(manager, at=at), give_car, workorder_pk=order.pk, how="signature")
    return WorkOrder.objects.get(pk=order.pk)


def test_a_recheck_is_proposed_on_an_open_day(manager):
    order = handed_over(manager, SATURDAY)
    back = order.recheck_at.astimezone(CHICAGO)
    # A week later is a Saturday, on which the shop is closed: Monday at opening.
    assert (back.month, back.day, back.hour) == (5, 19, 8)


def test_a_recheck_on_a_closed_day_is_said(desk_client, manager):
    order = handed_over(manager, SATURDAY)
    url = f"/workorders/{order.pk}/recheck/book/"
    desk_client.post(url, {"key": KEY, "at": "2031-05-18T10:00"})
    page = desk_client.get(f"/workorders/{order.pk}/handover/").content.decode()
    assert "The recheck is on Sunday, 18 May 2031: the shop is closed" in page


def test_the_manager_sets_open_days_and_a_saturday_is_then_open(client, manager):
    client.force_login(manager)
    week = {f"is_open_{day}": "on" for day in range(6)}
    hours = {"opens_at_5": "09:00", "closes_at_5": "13:00"}
    url = "/settings/open-days/change/"
    client.post(url, {"key": KEY, **week, **hours})
    page = look(client, promised_at="2031-05-10T15:00")
    assert "the shop is open 09:00 to 13:00 that day" in page
    assert "closed that day" not in page


def test_a_holiday_is_closed_and_named(client, manager):
    client.force_login(manager)
    day = {"day": "2031-05-09", "name": "stocktaking"}
    client.post("/settings/holidays/add/", {"key": KEY, **day})
    page = look(client)
    assert "9 May 2031: the shop is closed that day (stocktaking)." in page


def test_a_week_without_an_open_day_is_refused(client, manager):
    client.force_login(manager)
    answer = client.post("/settings/open-days/change/", {"key": KEY})
    assert answer.status_code == 422
    assert "open on one day at least" in answer.content.decode()


def test_the_demo_shop_works_on_saturdays(client, manager):
    client.force_login(manager)
    Command()._building()
    page = client.get("/settings/open-days/").content.decode()
    assert 'name="is_open_5"' in page
    saturday = page[page.index('name="is_open_5"') :][:120]
    assert "checked" in saturday
    sunday = page[page.index('name="is_open_6"') :][:120]
    assert "checked" not in sunday
