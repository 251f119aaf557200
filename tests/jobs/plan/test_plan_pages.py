"""The plan's pages: today, days, one car, what is proposed."""

from __future__ import annotations

import re
from datetime import timedelta
from html import unescape

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from jobs.models import BayPlan, Forecast
from jobs.plan.planned import Move, Reached
from jobs.plan.queries import SEARCH, subject_of
from shopapp.models import BackgroundTask, the_shop
from shopapp.say import say
from tests import makers
from tests.jobs.plan.plans import HOUR, car_planned, keep_plan

pytestmark = pytest.mark.django_db
TAG = re.compile(r"<[^>]*>")
HTMX = {"HX-Request": "true"}


@pytest.fixture
def manager(client):
    person = makers.make_person("manager", "desk", username="alva")
    client.force_login(person)
    return person


@pytest.fixture
def chidi():
    return makers.make_person("installer", username="chidi")


@pytest.fixture
def now():
    return timezone.now()


@pytest.fixture
def booking(manager, now):
    vehicle = makers.make_vehicle(plate="KTR 4821")
    return makers.make_booking(vehicle=vehicle, at=now - 2 * HOUR)


def words(client, url: str) -> str:
    response = client.get(url)
    assert response.status_code == 200
    bare = TAG.sub("", response.content.decode().partition("<main")[2])
    return " ".join(unescape(bare).split())


def test_a_car_is_said_in_a_sentence(client, manager, booking, chidi, now):
    bay = makers.make_bay("Bay 2")
    makers.make_workorder(booking=booking, bay=bay, at=now - 2 * HOUR)
    start = now.replace(minute=0, second=0, microsecond=0)
    keep_plan([booking], at=start, bay=f"bay-{bay.pk}", people=(f"person-{chidi.pk}",))
    makers.make_forecast(booking, ready_at=start + 3 * HOUR)
    page = words(client, "/plan/")
    assert "KTR 4821 is in Bay 2 with Chidi: prep until" in page
    assert "Next film work" in page
    assert "Ready " in page
    assert "in time" in page


def test_a_late_car_says_why_by_the_names_of_now(client, booking, now):
    bay = makers.make_bay("Bay 7")
    why = (say("{bay} is taken until {at}.", bay=f"bay-{bay.pk}", at=now),)
    makers.make_forecast(
        booking,
        ready_at=booking.promised_at + HOUR,
        standing=Forecast.Standing.LATE,
        why=why,
    )
    page = words(client, "/plan/")
    assert "late by the plan" in page
    assert "Bay 7 is taken until" in page


def test_without_a_plan_the_cars_stand_there_all_the_same(client, booking):
    page = words(client, "/plan/")
    assert "KTR 4821 comes" in page
    assert "There is no plan yet." in page


def test_a_paused_car_says_what_it_waits_for(client, booking, now):
    makers.make_workorder(
        booking=booking,
        place=makers.make_place("Yard"),
        at=now - 2 * HOUR,
        paused_at=now,
        paused_because="the customer decides.",
    )
    assert "waits in Yard: the customer decides." in words(client, "/plan/")


def test_who_is_away_today_is_one_line_with_the_way_to_say_it(client, manager):
    page = client.get("/plan/").content.decode()
    assert "Nobody is away today." in page
    assert 'href="/people-away/"' in page


def test_a_page_that_shows_the_same_is_not_sent_again(client, booking):
    first = client.get("/plan/", headers=HTMX)
    tag = first["ETag"]
    again = client.get("/plan/", headers={**HTMX, "If-None-Match": tag})
    assert again.status_code == 304
    makers.make_forecast(booking, ready_at=booking.promised_at)
    changed = client.get("/plan/", headers={**HTMX, "If-None-Match": tag})
    assert changed.status_code == 200


def test_a_proposal_is_led_to_by_who_may_move_cars(
    client, manager, booking, chidi, now
):
    keep_plan([booking], at=now, state=BayPlan.State.PROPOSED)
    assert "A proposal waits." in words(client, "/plan/")
    client.force_login(chidi)
    assert "A proposal waits" not in words(client, "/plan/")


@pytest.mark.parametrize("by", ["bay", "person"])
def test_the_week_shows_plate_and_work_of_half_a_day(client, booking, chidi, now, by):
    bay = makers.make_bay("Bay 2")
    shop_now = timezone.localtime(now, the_shop().zone)
    at = (shop_now + timedelta(days=(1 - shop_now.weekday()) % 7 + 7)).replace(
        hour=9, minute=0, second=0, microsecond=0
    )
    keep_plan([booking], at=at, bay=f"bay-{bay.pk}", people=(f"person-{chidi.pk}",))
    page = words(client, f"/plan/week/?by={by}&from={at.date()}")
    assert "KTR 4821" in page
    assert "prep, film work" in page
    assert {"bay": "Bay 2", "person": "Chidi"}[by] in page
    day = words(client, f"/plan/day/{at.date()}/?by={by}")
    assert "KTR 4821" in day
    assert "09:00" in day


def test_an_odd_day_or_side_in_the_address_is_taken_as_today_by_bay(
    client, booking, now
):
    keep_plan([booking], at=now)
    assert "The week by bay" in words(client, "/plan/week/?by=moon&from=2031-02-30")
    assert client.get("/plan/day/2031-02-30/").status_code == 404
    assert client.get("/plan/day/0001-01-01/").status_code == 404


def test_who_is_away_stands_in_the_week(client, manager, booking, chidi, now):
    keep_plan([booking], at=now)
    chidi.absences.create(
        first_day=timezone.localdate(),
        last_day=timezone.localdate() + timedelta(days=6),
    )
    assert "away" in words(client, "/plan/week/?by=person")


def test_a_car_s_page_lists_its_steps(client, booking, chidi, now):
    keep_plan([booking], at=now, people=(f"person-{chidi.pk}",))
    page = words(client, f"/plan/cars/{booking.pk}/")
    assert "prep" in page
    assert "film work" in page
    assert "inspection" in page
    assert "Chidi" in page


def proposed(booking, now, **more):
    key = f"booking-{booking.pk}"
    keep_plan([booking], at=now)
    return keep_plan(
        [booking],
        at=now + HOUR,
        state=BayPlan.State.PROPOSED,
        origin="solver",
        moves=(Move(car=key, what=(say("{car}: film work {at}", car=key, at=now),)),),
        reached=(
            Reached(level="late", value=8, bound=8, is_proven=True, first=16),
            Reached(level="stay", value=100, bound=90, is_proven=False),
        ),
        cars=(car_planned(key, now + 9 * HOUR, now + HOUR, late_min=480),),
        **more,
    )


def test_a_proposal_says_what_moves_what_is_late_and_how_good_it_is(
    client, booking, now
):
    proposed(booking, now, assumed=(say("Nobody falls ill."),))
    page = words(client, "/plan/proposal/")
    assert "1 car moves." in page
    assert "KTR 4821 " in page
    assert "film work" in page
    assert "As it stands: no promise is missed." in page
    assert "With this plan: 1 car late by 8 h." in page
    assert "Proven: no plan does better." in page
    assert "At most 10 % could still be gained." in page
    assert "50 % less lateness than the quick plan" in page
    assert "Nobody falls ill." in page


def test_without_a_proposal_the_page_says_so(client, manager):
    assert "Nothing is proposed." in words(client, "/plan/proposal/")


def test_the_page_asks_again_only_while_the_search_goes_on(client, booking, now):
    proposed(booking, now)
    assert 'hx-trigger="every 1s"' not in client.get("/plan/proposal/").content.decode()
    row = BayPlan.objects.get(state=BayPlan.State.PROPOSED)
    task = BackgroundTask.objects.create(kind=SEARCH, subject=subject_of(row))
    asking = client.get("/plan/proposal/")
    assert 'hx-trigger="every 1s"' in asking.content.decode()
    seen = asking.context["seen"]
    url = f"/plan/proposal/?seen={seen}"
    assert client.get(url, headers=HTMX).status_code == 204
    task.progress = {"seconds": 3.2}
    task.save()
    assert "3 s so far" in words(client, "/plan/proposal/")
    task.progress = {"seconds": 4, "level": "late", "value": 200, "bound": 190}
    task.save()
    said = "Lateness: At most 5 % could still be gained."
    assert said in words(client, "/plan/proposal/")
    BackgroundTask.objects.update(state=BackgroundTask.State.DONE)
    ended = client.get(url, headers=HTMX)
    assert ended.status_code == 200
    assert 'hx-trigger="every 1s"' not in ended.content.decode()


PAGES = (
    *("/plan/", "/plan/week/?by=bay", "/plan/week/?by=person", "/plan/proposal/"),
    "/plan/day/{day}/",
)


def test_ten_more_cars_in_the_plan_cost_no_query(client, booking, now):
    urls = [url.format(day=timezone.localdate()) for url in PAGES]

    def asked(url):
        with CaptureQueriesContext(connection) as queries:
            assert client.get(url).status_code == 200
        return len(queries)

    def counts(bookings):
        BayPlan.objects.all().delete()
        keep_plan(bookings, at=now)
        keep_plan(bookings, at=now + HOUR, state=BayPlan.State.PROPOSED)
        return {url: asked(url) for url in urls}

    makers.make_workorder(booking=booking, at=now - 2 * HOUR)
    second = makers.make_booking(
        vehicle=makers.make_vehicle(plate="AAA 1"), at=now - 2 * HOUR
    )
    few = counts([booking, second])
    more = [
        makers.make_booking(
            vehicle=makers.make_vehicle(plate=f"NEW {number}"), at=now - 2 * HOUR
        )
        for number in range(10)
    ]
    for row in more[:5]:
        makers.make_workorder(booking=row, at=now - 2 * HOUR)
    assert counts([booking, second, *more]) == few


def test_a_reason_names_cars_that_are_not_on_the_page(client, booking, now):
    far = makers.make_booking(
        vehicle=makers.make_vehicle(plate="FAR 999"), at=now + 20 * 24 * HOUR
    )
    keep_plan([booking, far], at=now)
    why = (say("It waits for {car}.", car=f"booking-{far.pk}"), say("And settles."))
    late = {"standing": Forecast.Standing.LATE, "why": why}
    makers.make_forecast(booking, ready_at=booking.promised_at + HOUR, **late)
    page = words(client, "/plan/")
    assert "It waits for FAR 999." in page
    assert "And settles." not in page
    assert "And settles." in words(client, f"/plan/cars/{booking.pk}/")
