"""The customer's secret link and what it opens."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.utils import timezone
from django.utils.formats import date_format

from jobs.models import (
    Customer,
    CustomerLink,
    FinalLook,
    Mark,
    Paper,
    Vehicle,
    WorkOrder,
)
from jobs.public.link_queries import hash_of, token_of
from jobs.stages.table import Stage
from shopapp.media import keep_bytes
from shopapp.models import OpenDay
from tests.makers import make_booking, make_person, make_vehicle, make_workorder

pytestmark = pytest.mark.django_db
KEY = "k" * 16


@pytest.fixture
def order():
    return make_workorder(at=timezone.now())


@pytest.fixture
def link(order):
    token = token_of(key="a link of a test")
    CustomerLink.objects.create(
        workorder=order,
        token_hash=hash_of(token),
        expires_at=timezone.now() + timedelta(days=10),
    )
    return f"/c/{token}/"


def mark(order, when, panel="hood", **more):
    return Mark.objects.create(
        workorder=order,
        when=when,
        panel=panel,
        kind="stone_chip",
        size_mm=3,
        seen_at=timezone.now(),
        **more,
    )


def closed(order, days_ago=0):
    left = timezone.now() - timedelta(days=days_ago)
    WorkOrder.objects.filter(pk=order.pk).update(
        stage="closed", handed_over_at=left, recheck_at=left + timedelta(days=7)
    )


# the desk makes it


def test_a_link_is_shown_once_and_only_its_hash_is_kept(client, desk, order):
    client.force_login(desk)
    url = f"/workorders/{order.pk}/links/make/"
    response = client.post(url, {"key": KEY, "days": 60})
    address = response.context["address"]
    token = address.rstrip("/").rsplit("/", 1)[1]
    kept = CustomerLink.objects.get()
    assert response.status_code == 200
    assert kept.token_hash == hash_of(token)
    assert token not in str(list(order.events.values()))
    page = client.get(f"/workorders/{order.pk}/handover/").content.decode()
    assert token not in page
    client.logout()
    assert client.get(f"/c/{token}/").status_code == 200


def test_a_token_has_128_bits_and_another_press_gives_another():
    token = token_of(key="one press")
    # 16 bytes are 22 signs of base64 without padding (RFC 4648, section 4).
    assert len(token) == 22
    assert token != token_of(key="another press")


def test_one_press_sent_twice_makes_one_link(client, desk, order):
    client.force_login(desk)
    url = f"/workorders/{order.pk}/links/make/"
    first = client.post(url, {"key": KEY, "days": 60})
    again = client.post(url, {"key": KEY, "days": 60})
    assert first.context["address"] == again.context["address"]
    assert CustomerLink.objects.count() == 1
    assert order.events.filter(what="link_made").count() == 1


def test_an_absurd_number_of_days_is_refused(client, desk, order):
    client.force_login(desk)
    url = f"/workorders/{order.pk}/links/make/"
    assert client.post(url, {"key": KEY, "days": 100000}).status_code == 422
    assert not CustomerLink.objects.exists()


def test_a_shut_link_is_not_open(client, desk, order, link):
    client.force_login(desk)
    pk = CustomerLink.objects.get().pk
    client.post(f"/workorders/{order.pk}/links/{pk}/revoke/", {"key": KEY})
    client.logout()
    response = client.get(link)
    assert response.status_code == 404
    assert "This link is not open any more" in response.content.decode()
    assert order.events.filter(what="link_revoked").count() == 1


def test_a_link_of_another_order_is_not_shut_from_this_one(client, desk, link):
    client.force_login(desk)
    other = make_workorder(booking=make_booking(vehicle=make_vehicle(plate="B")))
    pk = CustomerLink.objects.get().pk
    url = f"/workorders/{other.pk}/links/{pk}/revoke/"
    assert client.post(url, {"key": KEY}).status_code == 422
    assert CustomerLink.objects.get().revoked_at is None


# the customer opens it


@pytest.mark.parametrize("token", ["x", "A" * 22, "..", "%00"])
def test_a_foreign_token_reads_a_plain_page(client, link, token):
    response = client.get(f"/c/{token}/")
    assert response.status_code == 404


def test_an_expired_link_is_not_open(client, link):
    CustomerLink.objects.update(expires_at=timezone.now() - timedelta(minutes=1))
    assert client.get(link).status_code == 404


def test_the_page_needs_no_login_is_not_stored_and_tells_no_other_site(client, link):
    response = client.get(link)
    assert response.status_code == 200
    assert "no-store" in response["Cache-Control"]
    # "no-referrer" would send `Origin: null` with a POST (Fetch standard, "append a
    # request Origin header"), which the CSRF check refuses.
    assert response["Referrer-Policy"] == "same-origin"
    assert '<meta name="referrer" content="same-origin">' in response.content.decode()


@pytest.mark.parametrize(
    ("stage", "words"),
    [
        (Stage.INTAKE, "Your car is with us. We write down how its paint is"),
        (Stage.PREP, "Your car is being washed and made ready for film."),
        (Stage.INSTALL, "Film is being laid on your car."),
        (Stage.INSPECTION, "The film is on. We check every panel and every edge."),
        (Stage.CURE, "The film is on and settles: the last water leaves"),
    ],
)
def test_one_sentence_says_where_the_car_is(client, order, link, stage, words):
    WorkOrder.objects.filter(pk=order.pk).update(stage=stage.value)
    page = client.get(link).content.decode()
    assert words in page
    assert "It is ready on" in page


def test_a_settled_car_is_ready_to_collect(client, order, link):
    hour_ago = timezone.now() - timedelta(hours=1)
    WorkOrder.objects.filter(pk=order.pk).update(stage="cure", cure_over_at=hour_ago)
    FinalLook.objects.create(
        workorder=order, round=1, outcome="fine", at=timezone.now()
    )
    assert "Your car is ready: come and collect it." in (
        client.get(link).content.decode()
    )


def test_a_late_car_is_said_to_be_late(client, order, link):
    hour_ago = timezone.now() - timedelta(hours=1)
    WorkOrder.objects.filter(pk=order.pk).update(stage="prep", promised_at=hour_ago)
    assert "It takes longer than we said." in client.get(link).content.decode()


def test_what_it_costs_stands_on_it_and_notes_of_the_shop_do_not(client, order, link):
    Customer.objects.update(notes="pays late")
    Vehicle.objects.update(notes="coated hood")
    page = client.get(link).content.decode()
    assert "1,800.00 USD" in page
    assert "Still to pay" in page
    for inner in ("pays late", "coated hood", "Sign out"):
        assert inner not in page


def test_marks_found_after_the_wash_are_approved_by_link(client, order, link):
    found = mark(order, "after_wash")
    response = client.post(link + "approve/", {"key": KEY, "marks": [found.pk]})
    found.refresh_from_db()
    event = order.events.get(what="marks_approved")
    assert response.status_code == 303
    assert found.approved_how == "link"
    assert (event.via, event.by) == ("link", None)


@pytest.mark.parametrize("when", ["intake", "after_wash"])
def test_a_mark_written_down_after_the_yes_is_told_even_where_none_is_asked(
    client, order, link, when
):
    client.post(link + "agree/", {"key": KEY})
    found = mark(order, when)
    Mark.objects.filter(pk=found.pk).update(kind="rust_bubble", seen_at=timezone.now())
    page = client.get(link).content.decode()
    assert "Also seen since you agreed" in page
    assert "rust bubble" in page
    assert "Yes, lay film over it" not in page


def test_a_mark_found_since_the_page_was_opened_still_waits(client, order, link):
    seen = mark(order, "after_wash")
    since = mark(order, "after_wash", panel="roof")
    client.post(link + "approve/", {"key": KEY, "marks": [seen.pk]})
    since.refresh_from_db()
    assert since.approved_at is None


def test_marks_of_another_car_are_not_approved(client, link):
    other = make_workorder(booking=make_booking(vehicle=make_vehicle(plate="B")))
    foreign = mark(other, "after_wash")
    response = client.post(link + "approve/", {"key": KEY, "marks": [foreign.pk]})
    foreign.refresh_from_db()
    assert response.status_code == 422
    assert foreign.approved_at is None


def test_approving_twice_by_one_press_is_one_event(client, order, link):
    found = mark(order, "after_wash")
    for _ in range(2):
        client.post(link + "approve/", {"key": KEY, "marks": [found.pk]})
    assert order.events.filter(what="marks_approved").count() == 1


def test_the_walk_round_is_agreed_by_link(client, order, link):
    found = mark(order, "intake")
    client.post(link + "agree/", {"key": KEY, "marks": [found.pk]})
    order.refresh_from_db()
    assert order.walk_round_agreed == "link"
    assert order.events.get(what="walk_round_agreed").via == "link"


def test_the_walk_round_is_not_agreed_past_a_mark_that_was_not_shown(
    client, order, link
):
    seen = mark(order, "intake")
    mark(order, "intake", panel="roof")
    response = client.post(link + "agree/", {"key": KEY, "marks": [seen.pk]})
    order.refresh_from_db()
    assert response.status_code == 422
    assert "A mark was added since you looked." in response.content.decode()
    assert order.walk_round_agreed == ""


def test_who_is_signed_in_does_not_sign_for_the_customer(client, order, link):
    client.force_login(make_person("desk", username="dee"))
    found = mark(order, "after_wash")
    client.post(link + "approve/", {"key": KEY, "marks": [found.pk]})
    assert order.events.get(what="marks_approved").by is None


def test_a_bad_token_approves_nothing(client, order):
    found = mark(order, "after_wash")
    response = client.post("/c/nonsense/approve/", {"key": KEY, "marks": [found.pk]})
    found.refresh_from_db()
    assert response.status_code == 404
    assert found.approved_at is None


def test_care_stands_with_the_day_it_ends(client, order, link):
    closed(order)
    page = client.get(link).content.decode()
    assert "Do not wash the car." in page
    assert "You collected your car on" in page


def test_a_recheck_is_asked_for_and_the_desk_sees_it(client, desk, order, link):
    closed(order)
    OpenDay.objects.update(is_open=True)
    on = (timezone.now() + timedelta(days=9)).date()
    response = client.post(link + "recheck/", {"key": KEY, "on": on.isoformat()})
    assert response.status_code == 303
    hers = f"You asked for {date_format(on, 'D j M')}: we will confirm the time."
    assert hers in client.get(link).content.decode()
    client.force_login(desk)
    said = f"would like {date_format(on, 'D j M')}"
    assert said in client.get("/handovers/").content.decode()


def test_a_recheck_in_the_past_is_a_sentence_at_the_field(client, order, link):
    closed(order)
    response = client.post(link + "recheck/", {"key": KEY, "on": "2001-01-01"})
    assert response.status_code == 422
    assert "This day has passed." in response.content.decode()
    assert not order.events.filter(what="recheck_asked").exists()


def test_issued_care_papers_open_and_others_do_not(client, order, link):
    stored = keep_bytes(b"%PDF-1.7 care", "application/pdf")
    common = {"workorder": order, "version": 1, "size": "A4", "file": stored}
    common |= {"state": "issued", "asked_at": timezone.now(), "subject": "x"}
    care = Paper.objects.create(kind="care", number="C-1", **common)
    inner = Paper.objects.create(kind="work_order", number="W-1", **common)
    response = client.get(f"{link}papers/{care.pk}/")
    assert response.status_code == 200
    assert response.content == b"%PDF-1.7 care"
    assert "no-store" in response["Cache-Control"]
    assert client.get(f"{link}papers/{inner.pk}/").status_code == 404


def test_a_photo_of_this_car_opens_and_of_another_does_not(client, order, link):
    stored = keep_bytes(b"\xff\xd8 photo", "image/jpeg")
    own = mark(order, "intake", photo=stored)
    other = make_workorder(booking=make_booking(vehicle=make_vehicle(plate="B")))
    foreign = mark(other, "intake", photo=stored)
    assert client.get(f"{link}photos/{own.pk}/").status_code == 200
    assert client.get(f"{link}photos/{foreign.pk}/").status_code == 404


# the calendar


def test_the_recheck_goes_into_a_calendar(client, order, link):
    closed(order)
    response = client.get(link + "calendar/recheck.ics")
    text = response.content.decode()
    assert response["Content-Type"] == "text/calendar; charset=utf-8"
    assert text.startswith("BEGIN:VCALENDAR\r\nVERSION:2.0\r\n")
    assert f"UID:recheck-{order.number}@" in text
    assert client.get(link + "calendar/ready.ics").status_code == 404
    assert client.get(link + "calendar/other.ics").status_code == 404


def test_after_twenty_presses_within_an_hour_the_link_asks_to_wait(
    client, order, link, monkeypatch
):
    monkeypatch.setattr("jobs.public.link_queries.MOST_PRESSES", 2)
    closed(order)
    OpenDay.objects.update(is_open=True)
    on = (timezone.now() + timedelta(days=9)).date()
    asks = [
        client.post(link + "recheck/", {"key": f"{KEY}{n}", "on": on.isoformat()})
        for n in range(3)
    ]
    assert [answer.status_code for answer in asks] == [303, 303, 429]
    assert "Wait an hour, or call us." in asks[2].content.decode()
    assert order.events.filter(what="recheck_asked").count() == 2
