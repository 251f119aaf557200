"""Signed out in the middle of a press: it is said, and the press goes through after."""

from __future__ import annotations

import re

import pytest
from django.conf import settings
from django.test import Client

from jobs.models import WorkOrder, WorkOrderEvent
from jobs.stages.table import Stage
from shopapp.models import Device
from tests.makers import PASSWORD, make_workorder

pytestmark = pytest.mark.django_db
KEY = "a-press-of-before"


@pytest.fixture
def order() -> WorkOrder:
    return make_workorder(stage=Stage.PREP)


def pressed_signed_out(client: Client, order: WorkOrder, **typed):
    """Chidi's page, whose sign-in has run out, and a press on it."""
    del client.cookies[settings.SESSION_COOKIE_NAME]
    url = f"/workorders/{order.pk}/pause/"
    data = {"key": KEY, "usual": "parts", **typed}
    return client.post(url, data, follow=True)


def sign_in(client: Client, page: str, **who):
    """The sign-in form of the page, sent."""
    hidden = dict(re.findall(r'type="hidden" name="(\w+)" value="([^"]*)"', page))
    return client.post("/sign-in/", {**hidden, **who}, follow=True)


def test_it_says_that_nothing_was_kept_yet_and_then_the_press_goes_through(
    client, installer, order
):
    sign_in(client, "", username="ivan", password=PASSWORD)
    answer = pressed_signed_out(client, order, opened_by=installer.pk)
    page = answer.content.decode()
    assert "Nothing was kept yet" in page
    assert not WorkOrderEvent.objects.filter(what="paused").exists()
    after = sign_in(client, page, username="ivan", password=PASSWORD)
    again = after.content.decode()
    assert "data-send-now" in again
    form = dict(re.findall(r'type="hidden" name="(\w+)" value="([^"]*)"', again))
    assert form["key"] == KEY
    url = re.search(r'<form class="form" method="post" action="([^"]+)"', again)[1]
    assert client.post(url, form).status_code == 303
    order.refresh_from_db()
    assert order.paused_at is not None


def test_on_an_enrolled_tablet_the_pin_is_enough(client, installer, order):
    installer.set_pin("2580")
    installer.save()
    sign_in(client, "", username="ivan", password=PASSWORD)
    Device.objects.update(pin_opens=Device.Work.BAY)
    page = pressed_signed_out(client, order).content.decode()
    assert 'name="pin"' in page
    sign_in(client, page, person=installer.pk, pin="2580")
    assert client.session["_auth_user_id"] == str(installer.pk)


def test_what_another_had_pressed_is_shown_to_be_confirmed(
    client, installer, manager, order
):
    sign_in(client, "", username="ivan", password=PASSWORD)
    page = pressed_signed_out(client, order, opened_by=installer.pk).content.decode()
    shown = sign_in(client, page, username="mara", password=PASSWORD).content.decode()
    assert "data-send-now" not in shown
    assert "somebody else had opened" in shown
    assert "Send it now" in shown


def test_htmx_is_led_away_whole(client, installer, order):
    sign_in(client, "", username="ivan", password=PASSWORD)
    del client.cookies[settings.SESSION_COOKIE_NAME]
    headers = {"HX-Request": "true"}
    url = f"/workorders/{order.pk}/pause/"
    answer = client.post(url, {"key": KEY, "usual": "parts"}, headers=headers)
    assert answer.headers.get("HX-Redirect", "").startswith("/sign-in/")


def test_a_password_is_never_held(client, installer):
    sign_in(client, "", username="ivan", password=PASSWORD)
    del client.cookies[settings.SESSION_COOKIE_NAME]
    typed = {"key": KEY, "password": "a new and long one"}
    page = client.post("/own/change/", typed, follow=True).content.decode()
    assert "Nothing was kept" in page
    assert "a new and long one" not in str(dict(client.session.items()))


def test_a_page_from_before_another_sign_in_says_that_it_is_out_of_date(manager):
    careful = Client(enforce_csrf_checks=True)
    careful.force_login(manager)
    answer = careful.post("/workorders/1/pause/", {"key": KEY})
    assert answer.status_code == 403
    assert "This page is out of date" in answer.content.decode()
