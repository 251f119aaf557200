"""Bays, people and hand-overs of the published plan, for a calendar."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from django.urls import reverse
from django.utils import timezone
from icalendar import Calendar

from jobs.models import BayPlan, CalendarFeed
from jobs.plan.planned import CarPlanned, ShopPlan, Step
from jobs.plan.shop import Part
from jobs.plan.stored import plan_to_json
from jobs.public.link_queries import hash_of
from shopapp.models import Shop
from tests import makers

pytestmark = pytest.mark.django_db
CHICAGO = ZoneInfo("America/Chicago")
KEY = {"key": "a-key-of-one-press"}


def at(day, hour, minute=0):
    return datetime(2031, 5, day, hour, minute, tzinfo=CHICAGO).astimezone(UTC)


@pytest.fixture
def manager():
    return makers.make_person("manager", username="alva")


@pytest.fixture
def chidi():
    return makers.make_person("installer", username="chidi")


@pytest.fixture
def order(manager):
    return makers.make_workorder(manager, bay=makers.make_bay("Bay 1; left"))


@pytest.fixture(autouse=True)
def the_time(monkeypatch):
    monkeypatch.setattr(timezone, "now", lambda: at(6, 12))


def make_plan(order, chidi, *, state="published", shift=timedelta(), sequence=0):
    """A car in its bay over two nights, its film work paused at each closing."""
    assert Shop.objects.get().closes_at.hour == 18
    car = f"booking-{order.booking_id}"
    kept = {"car": car, "sequence": sequence}
    bay, people = f"bay-{order.bay_id}", (f"person-{chidi.pk}",)
    begins, ends = at(6, 14) + shift, at(8, 12) + shift
    steps = (
        Step(part=Part.STAY, starts_at=begins, ends_at=ends, spot=bay, **kept),
        Step(
            part=Part.INSTALL,
            starts_at=begins,
            ends_at=at(8, 10),
            people=people,
            **kept,
        ),
        Step(part=Part.LOOK, starts_at=at(8, 11), ends_at=ends, people=people, **kept),
        Step(
            part=Part.SETTLING, starts_at=at(8, 10), ends_at=at(8, 11), spot=bay, **kept
        ),
    )
    planned = CarPlanned(
        car=car, ready_at=ends, latest_at=ends, promised_at=order.promised_at
    )
    plan = ShopPlan(as_of=at(6, 8), steps=steps, cars=(planned,))
    return BayPlan.objects.create(
        state=state,
        problem_hash="x",
        facts=plan_to_json(plan),
        settled_at=at(6, 9),
        made_at=at(6, 8),
    )


def make_feed(client, manager, whose):
    client.force_login(manager)
    page = client.post("/plan/feeds/make/", {"whose": whose} | KEY).content.decode()
    client.logout()
    address = page.split('readonly value="')[1].split('"')[0]
    return address.removeprefix("http://localhost:8000")


def events(client, url):
    response = client.get(url)
    assert response.status_code == 200
    found = Calendar.from_ical(response.content)
    assert all(event.errors == [] for event in found.events)
    assert all(len(line) <= 75 for line in response.content.split(b"\r\n"))
    return found.events


def times(found):
    return [(event.start, event.end) for event in found]


def test_a_bay_has_one_entry_for_the_whole_stay(client, manager, chidi, order):
    make_plan(order, chidi)
    (event,) = events(client, make_feed(client, manager, f"bay-{order.bay_id}"))
    assert times([event]) == [(at(6, 14), at(8, 12))]
    assert str(event["summary"]) == f"{order.number} · in the bay"
    assert str(event["location"]) == "Bay 1; left"


def test_a_person_has_each_piece_of_work_and_no_night(client, manager, chidi, order):
    make_plan(order, chidi)
    found = events(client, make_feed(client, manager, f"person-{chidi.pk}"))
    assert times(found) == [
        (at(6, 14), at(6, 18)),
        (at(7, 8), at(7, 18)),
        (at(8, 8), at(8, 10)),
        (at(8, 11), at(8, 12)),
    ]
    # 16 h of film work and an hour of the final look.
    assert sum((e.end - e.start for e in found), timedelta()) == timedelta(hours=17)
    assert len({str(event["uid"]) for event in found}) == 4
    assert {str(event["location"]) for event in found} == {"Bay 1; left"}


def test_hand_overs_are_short_entries(client, manager, chidi, order):
    make_plan(order, chidi)
    (event,) = events(client, make_feed(client, manager, "hand-overs"))
    assert event.start == at(8, 12)
    assert event.end - event.start == timedelta(minutes=15)
    assert str(event["summary"]) == f"{order.number} · ready"


def test_an_entry_that_moves_keeps_its_name_and_counts_up(
    client, manager, chidi, order
):
    url = make_feed(client, manager, f"bay-{order.bay_id}")
    before = make_plan(order, chidi)
    (first,) = events(client, url)
    before.state = BayPlan.State.REPLACED
    before.save()
    make_plan(order, chidi, shift=timedelta(hours=1), sequence=1)
    (then,) = events(client, url)
    assert first["uid"] == then["uid"]
    assert (first["sequence"], then["sequence"]) == (0, 1)
    assert first["dtstamp"].dt == at(6, 9)


@pytest.mark.parametrize("state", ["proposed", "standing", "replaced", "dropped"])
def test_only_the_published_plan_is_read(client, manager, chidi, order, state):
    make_plan(order, chidi, state=state)
    assert events(client, make_feed(client, manager, f"bay-{order.bay_id}")) == []


def test_what_ended_two_weeks_ago_is_left_out(
    client, manager, chidi, order, monkeypatch
):
    make_plan(order, chidi)
    urls = []
    for number, whose in enumerate(
        (f"bay-{order.bay_id}", f"person-{chidi.pk}", "hand-overs")
    ):
        KEY["key"] = f"a-key-of-press-{number}"
        urls.append(make_feed(client, manager, whose))
    monkeypatch.setattr(timezone, "now", lambda: at(30, 12))
    assert all(events(client, url) == [] for url in urls)


def test_a_feed_names_no_customer_no_phone_and_no_plate(client, manager, chidi, order):
    make_plan(order, chidi)
    secrets = [order.customer.name, order.customer.phone, order.vehicle.plate]
    secrets += [order.vehicle.make, order.vehicle.vin]
    for number, whose in enumerate(
        (f"bay-{order.bay_id}", f"person-{chidi.pk}", "hand-overs")
    ):
        KEY["key"] = f"a-key-of-press-{number}"
        text = client.get(make_feed(client, manager, whose)).content.decode()
        assert "BEGIN:VEVENT" in text
        assert not [word for word in secrets if word and word in text]


def test_it_is_read_again_only_when_it_changed(client, manager, chidi, order):
    make_plan(order, chidi)
    url = make_feed(client, manager, "hand-overs")
    first = client.get(url)
    assert first["Content-Type"] == "text/calendar; charset=utf-8"
    assert first["Referrer-Policy"] == "no-referrer"
    assert first["X-Robots-Tag"] == "noindex"
    again = client.get(url, headers={"if-none-match": first["ETag"]})
    assert (again.status_code, again.content) == (304, b"")
    other = client.get(url, headers={"if-none-match": '"another"'})
    assert other.content == first.content


def test_a_shut_feed_is_not_there_and_neither_is_a_guessed_one(
    client, manager, chidi, order
):
    url = make_feed(client, manager, "hand-overs")
    row = CalendarFeed.objects.get()
    client.force_login(manager)
    revoke = reverse("jobs:feed_revoke", args=[row.pk])
    assert client.post(revoke, {"key": "another-key-of-a-press"}).status_code == 303
    client.logout()
    assert client.get(url).status_code == 404
    assert client.get("/feeds/guessed.ics").status_code == 404
    client.force_login(manager)
    again = client.post(revoke, {"key": "a-third-key-of-a-press"})
    assert "This feed is shut already." in again.content.decode()


def test_who_has_left_reads_their_work_no_more(client, manager, chidi, order):
    url = make_feed(client, manager, f"person-{chidi.pk}")
    assert client.get(url).status_code == 200
    chidi.is_active = False
    chidi.save()
    assert client.get(url).status_code == 404


def test_only_the_hash_of_the_address_is_kept_and_it_is_shown_once(client, manager):
    url = make_feed(client, manager, "hand-overs")
    token = url.removeprefix("/feeds/").removesuffix(".ics")
    row = CalendarFeed.objects.get()
    assert row.token_hash == hash_of(token)
    client.force_login(manager)
    assert token not in client.get("/plan/feeds/").content.decode()


def test_a_calendar_is_chosen_from_the_list(client, manager):
    client.force_login(manager)
    response = client.post("/plan/feeds/make/", {"whose": "bay-99"} | KEY)
    assert response.status_code == 422
    assert not CalendarFeed.objects.exists()
