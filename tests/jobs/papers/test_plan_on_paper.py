"""The day sheet and the week as issued papers, and the plan as a list."""

from __future__ import annotations

import csv
import io
import json
from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from pypdf import PdfReader

from jobs.crews.actions import add_absence
from jobs.models import BayPlan, Paper
from jobs.papers.html_facts import paper_html
from jobs.papers.plan_actions import (
    issue_day_sheet,
    issue_desk_sheet,
    issue_plan_week,
)
from jobs.plan.planned import ShopPlan, Step
from jobs.plan.shop import Part
from jobs.plan.stored import plan_to_json
from shopapp.frame import Refused, perform
from shopapp.models import the_shop
from shopapp.printing import pdf_from_html
from tests.jobs.plan.plans import car_planned
from tests.makers import (
    make_bay,
    make_booking,
    make_customer,
    make_person,
    make_tap,
    make_vehicle,
)

pytestmark = pytest.mark.django_db
CHICAGO = ZoneInfo("America/Chicago")
PHONE = "555-0199"
TUESDAY = date(2031, 5, 6)
KEY = {"key": "a-key-of-one-press"}


def at(day, hour, minute=0):
    return datetime(2031, 5, day, hour, minute, tzinfo=CHICAGO).astimezone(UTC)


@pytest.fixture
def manager():
    return make_person("manager", username="alva")


@pytest.fixture
def chidi():
    return make_person("installer", username="chidi")


def booked(plate, *, promised, name="Robin Ash"):
    customer = make_customer(name, phone=PHONE)
    booking = make_booking(
        vehicle=make_vehicle(customer, plate=plate), at=at(5, 10), package="track"
    )
    booking.promised_at = promised
    booking.save()
    return booking


@pytest.fixture
def plan(manager, chidi):
    """Two cars: one over two nights, one that is late on Tuesday."""
    bay = f"bay-{make_bay('Bay 1').pk}"
    long = booked("KTR 4821", promised=at(8, 17))
    short = booked("ZEB 77", promised=at(6, 10), name="Sam Oak")
    mine = {"people": (f"person-{chidi.pk}",)}
    one, two = f"booking-{long.pk}", f"booking-{short.pk}"
    steps = (
        Step(
            car=two, part=Part.LOOK, starts_at=at(6, 9), ends_at=at(6, 10, 30), **mine
        ),
        Step(car=one, part=Part.STAY, starts_at=at(6, 14), ends_at=at(8, 12), spot=bay),
        Step(
            car=one, part=Part.INSTALL, starts_at=at(6, 14), ends_at=at(6, 16), **mine
        ),
        Step(
            car=one,
            part=Part.INSTALL,
            number=1,
            starts_at=at(6, 16),
            ends_at=at(7, 10),
            **mine,
        ),
        Step(car=one, part=Part.SETTLING, starts_at=at(7, 10), ends_at=at(8, 9)),
        Step(car=one, part=Part.LOOK, starts_at=at(8, 11), ends_at=at(8, 12), **mine),
    )
    cars = (
        car_planned(one, at(8, 12), long.promised_at),
        car_planned(two, at(6, 10, 30), short.promised_at, late_min=30),
    )
    kept = ShopPlan(as_of=at(6, 8), steps=steps, cars=cars)
    return BayPlan.objects.create(
        state="standing", problem_hash="x", facts=plan_to_json(kept)
    )


def issued(do, by, **facts):
    answer = perform(make_tap(by, at=at(6, 8)), do, **facts)
    return Paper.objects.get(pk=answer["pk"])


def text_of(paper):
    pages = PdfReader(io.BytesIO(bytes(pdf_from_html(paper_html(paper))))).pages
    return " ".join(" ".join(page.extract_text() for page in pages).split())


def test_the_day_sheet_has_cars_by_promise_with_bay_people_and_hours(manager, plan):
    paper = issued(issue_day_sheet, manager)
    facts = paper.facts
    assert paper.number == "DAY-2031-05-06"
    assert [car["car"] for car in facts["cars"]] == ["ZEB 77", "KTR 4821"]
    assert [car["standing_said"] for car in facts["cars"]] == ["late", "in time"]
    # Pieces that follow each other are one; work stops at closing.
    (work,) = facts["cars"][1]["works"]
    assert (work["since"], work["until"]) == ("14:00", "18:00")
    assert (work["where"], work["people"]) == ("Bay 1", "Chidi")
    (person,) = facts["people"]
    assert (person["name"], person["hours"]) == ("Chidi", 5.5)
    text = text_of(paper)
    for part in ("Tuesday 6 May", "open 08:00–18:00", "KTR 4821", "Bay 1", "Chidi"):
        assert part in text


def test_phones_are_on_the_desks_copy_alone(manager, plan):
    wall, desk = issued(issue_day_sheet, manager), issued(issue_desk_sheet, manager)
    assert PHONE in text_of(desk)
    assert "Robin Ash" in text_of(desk)
    for secret in (PHONE, "Robin Ash", "Sam Oak"):
        assert secret not in paper_html(wall)
        assert secret not in json.dumps(wall.facts)


def test_the_desks_copy_is_not_there_for_who_sees_no_customers(
    client, manager, chidi, plan
):
    wall, desk = issued(issue_day_sheet, manager), issued(issue_desk_sheet, manager)
    client.force_login(chidi)
    assert client.get(f"/papers/{wall.pk}/").status_code == 200
    for end in ("", "state/"):
        assert client.get(f"/papers/{desk.pk}/{end}").status_code == 404
    assert client.post("/plan/papers/desk/", KEY).status_code == 403
    assert "/plan/papers/desk/" not in client.get("/plan/papers/").content.decode()
    client.force_login(manager)
    assert client.get(f"/papers/{desk.pk}/").status_code == 200


def test_who_is_away_is_named_without_the_reason(manager, chidi, plan):
    perform(
        make_tap(manager, at=at(6, 8)),
        add_absence,
        person_pk=chidi.pk,
        because="sick",
        half="morning",
    )
    text = text_of(issued(issue_day_sheet, manager))
    assert "Away: Chidi (mornings)" in text
    assert "sick" not in text


def test_a_night_of_settling_is_said_with_its_day(manager, plan):
    text = text_of(issued(issue_day_sheet, manager, day=TUESDAY + timedelta(days=1)))
    assert "settling until Thu 09:00" in text


def test_on_the_day_on_which_it_ends_settling_is_said_before_what_follows(
    manager, plan
):
    text = text_of(issued(issue_day_sheet, manager, day=TUESDAY + timedelta(days=2)))
    assert "settling until 09:00 11:00–12:00 final look · Bay 1" in text


def test_a_closed_day_says_so(manager, plan):
    text = text_of(issued(issue_day_sheet, manager, day=date(2031, 5, 10)))
    assert "closed" in text
    assert "No car on this day." in text


def test_the_week_has_days_by_bay_and_by_person(manager, plan):
    paper = issued(issue_plan_week, manager, day=date(2031, 5, 8))
    facts = paper.facts
    assert (paper.number, facts["first_on"]) == ("WEEK-2031-05-05", "2031-05-05")
    assert [day["day_on"][-2:] for day in facts["days"]] == [
        *("05", "06", "07", "08", "09")
    ]
    (bay,) = facts["bays"]
    assert bay["cells"] == [
        [],
        ["KTR 4821 from 14:00"],
        ["KTR 4821"],
        ["KTR 4821 until 12:00"],
        [],
    ]
    (person,) = facts["people"]
    assert person["cells"][2] == ["08:00–10:00 KTR 4821, film work"]
    assert facts["ready"][1] == ["ZEB 77 10:30"]
    assert PHONE not in json.dumps(facts)


@pytest.mark.parametrize("size", ["A4", "Letter"])
def test_the_week_lies_and_fits_a_page(manager, plan, size):
    shop = the_shop()
    shop.paper_size = size
    shop.save()
    pages = PdfReader(
        io.BytesIO(bytes(pdf_from_html(paper_html(issued(issue_plan_week, manager)))))
    ).pages
    width, height = (float(side) for side in pages[0].mediabox[2:])
    assert len(pages) == 1
    assert width > height


def test_the_same_plan_gives_the_same_version_and_another_the_next(manager, plan):
    first, again = issued(issue_day_sheet, manager), issued(issue_day_sheet, manager)
    assert first.pk == again.pk
    plan.facts["steps"] = [
        step | {"people": []} if step["part"] == "look" else step
        for step in plan.facts["steps"]
    ]
    plan.save()
    then = issued(issue_day_sheet, manager)
    assert (then.version, then.replaces) == (2, first)


def test_without_a_plan_it_is_said(client, manager):
    client.force_login(manager)
    response = client.post("/plan/papers/day/", KEY)
    assert response.status_code == 422
    assert "There is no plan yet." in response.content.decode()
    with pytest.raises(Refused, match="no plan yet"):
        issued(issue_plan_week, manager)


def test_a_year_that_no_plan_reaches_is_said_at_the_field(client, manager, plan):
    client.force_login(manager)
    response = client.post("/plan/papers/week/", KEY | {"day": "2231-05-06"})
    page = response.content.decode()
    assert response.status_code == 422
    assert "No plan reaches so far. Look at the year." in page
    assert 'value="2231-05-06"' in page


def test_the_list_has_each_step_and_no_customer(client, manager, chidi, plan):
    client.force_login(manager)
    response = client.get("/plan/plan.csv")
    assert response["Content-Type"] == "text/csv; charset=utf-8"
    text = response.content.decode("utf-8-sig")
    rows = list(csv.DictReader(io.StringIO(text)))
    assert len(rows) == 6
    first = rows[0]
    assert first["work"] == "final look"
    assert (first["begins"], first["people"]) == ("2031-05-06 09:00", "Chidi")
    assert first["standing"] == "late"
    assert not [word for word in (PHONE, "Robin", "KTR", "ZEB") if word in text]
    client.force_login(chidi)
    assert client.get("/plan/plan.csv").status_code == 403
