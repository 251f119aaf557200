"""The time that a customer was given: at risk, doubted, told anew."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.utils import timezone

from jobs.models import CustomerLink, WorkOrder
from jobs.public.link_queries import hash_of, token_of
from jobs.stages.table import Stage
from shopapp.models import the_shop
from tests.makers import make_bay, make_booking, make_workorder

pytestmark = pytest.mark.django_db
KEY = "k" * 16


@pytest.fixture
def desk_client(client, desk):
    client.force_login(desk)
    return client


def in_cure(**fields):
    """A full front that settles for hours beyond its promise."""
    now = timezone.now()
    order = make_workorder(at=now - timedelta(days=1), stage=Stage.CURE, bay=make_bay())
    known = {"promised_at": now + timedelta(hours=2)}
    known |= {"cure_over_at": now + timedelta(hours=7), **fields}
    WorkOrder.objects.filter(pk=order.pk).update(**known)
    order.refresh_from_db()
    return order


def page_of(client, url):
    return client.get(url).content.decode()


def link_to(order):
    token = token_of(key="a link of a test")
    CustomerLink.objects.create(
        workorder=order,
        token_hash=hash_of(token),
        expires_at=timezone.now() + timedelta(days=10),
    )
    return f"/c/{token}/"


def doubt(client, order, **typed):
    url = f"/workorders/{order.pk}/promise/doubt/"
    return client.post(url, {"key": KEY, "because": "a redo", **typed})


@pytest.mark.parametrize("url", ["/workorders/{pk}/", "/floor/", "/bookings/"])
def test_a_car_that_settles_past_its_promise_is_at_risk_before_it_is_late(
    desk_client, url
):
    order = in_cure()
    assert "at risk" in page_of(desk_client, url.format(pk=order.pk))


@pytest.mark.parametrize("url", ["/handovers/", "/workorders/{pk}/handover/"])
def test_hand_over_says_until_when_it_settles(desk_client, url):
    order = in_cure()
    page = page_of(desk_client, url.format(pk=order.pk))
    assert "At risk." in page
    assert "after the promise" in page


def test_a_car_that_settles_in_time_is_not_at_risk(desk_client):
    order = in_cure(cure_over_at=timezone.now() + timedelta(hours=1))
    for url in (f"/workorders/{order.pk}/", "/floor/", "/bookings/", "/handovers/"):
        assert "at risk" not in page_of(desk_client, url).lower()


def test_a_full_front_still_to_be_laid_for_today_is_at_risk(desk_client):
    now = timezone.now()
    order = make_workorder(at=now - timedelta(days=1), stage=Stage.INSTALL)
    soon = now + timedelta(hours=3)
    WorkOrder.objects.filter(pk=order.pk).update(promised_at=soon)
    page = page_of(desk_client, f"/workorders/{order.pk}/")
    assert "at the earliest, after the promise" in page


def test_a_booking_that_cannot_settle_in_time_is_at_risk(desk_client):
    now = timezone.now()
    make_booking(at=now, promised_at=now + timedelta(hours=4))
    assert "at risk" in page_of(desk_client, "/bookings/")


def test_the_customer_reads_the_time_that_a_person_gave(client):
    # The film settles five hours longer; nobody has told the customer another time.
    order = in_cure()
    page = page_of(client, link_to(order))
    given = timezone.localtime(order.promised_at, the_shop().zone)
    assert f"It is ready on {given:%a} {given.day} {given:%b %H:%M}" in page


def test_a_doubted_time_is_being_checked_and_no_longer_shown(client, installer):
    order = in_cure()
    client.force_login(installer)
    doubt(client, order)
    client.logout()
    page = page_of(client, link_to(order))
    assert "The time is being checked. We will call you." in page
    assert "Planned ready" not in page
    assert client.get(link_to_calendar()).status_code == 404


def link_to_calendar():
    return f"/c/{token_of(key='a link of a test')}/calendar/ready.ics"


def test_the_desk_is_told_whom_to_call_and_why(client, installer, desk):
    order = in_cure()
    client.force_login(installer)
    doubt(client, order)
    client.force_login(desk)
    for url in ("/handovers/", "/calls/"):
        page = page_of(client, url)
        assert "Call these customers" in page
        assert 'href="tel:555-0101"' in page
        assert "a redo" in page
    assert "Call 1 customer about the promised time" in page_of(client, "/bookings/")


def test_told_her_another_time_and_the_page_shows_it(desk_client):
    order = in_cure()
    doubt(desk_client, order)
    url = f"/workorders/{order.pk}/promise/tell/"
    typed = {"key": "t" * 16, "promised_at": "2031-05-07T15:00"}
    for _twice in (1, 2):
        desk_client.post(url, typed)
    assert "ready on 7 May 2031 15:00" in page_of(desk_client, link_to(order))
    assert "Call these customers" not in page_of(desk_client, "/calls/")
    assert order.events.filter(what="promise_told").count() == 1
    history = page_of(desk_client, f"/workorders/{order.pk}/history/")
    assert "The promised time will not hold. a redo" in history
    assert "The customer was told 7 May 2031 15:00 instead of" in history


def test_we_make_it_and_the_time_is_shown_again(desk_client):
    order = in_cure()
    doubt(desk_client, order)
    desk_client.post(f"/workorders/{order.pk}/promise/keep/", {"key": "m" * 16})
    page = page_of(desk_client, link_to(order))
    assert "Planned ready" in page
    assert "being checked" not in page
    assert order.events.filter(what="promise_kept").count() == 1
    assert "Call these customers" not in page_of(desk_client, "/calls/")


def test_another_promise_settles_the_doubt(desk_client):
    order = in_cure()
    doubt(desk_client, order)
    url = f"/workorders/{order.pk}/promise/"
    desk_client.post(url, {"key": "o" * 16, "promised_at": "2031-05-07T15:00"})
    assert "Call these customers" not in page_of(desk_client, "/calls/")


def test_whoever_is_late_is_to_be_called_too(desk_client):
    now = timezone.now()
    order = in_cure(promised_at=now - timedelta(hours=1))
    assert order.customer.name in page_of(desk_client, "/calls/")
    assert "We will call you." in page_of(desk_client, link_to(order))


def test_the_same_doubt_is_not_said_twice(desk_client):
    order = in_cure()
    doubt(desk_client, order)
    again = doubt(desk_client, order, key="z" * 16)
    assert again.status_code == 422
    assert "This was said already." in again.content.decode()
