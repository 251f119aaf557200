"""Days off and sick days are entered in a tap or two, and taken back."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from jobs.crews.actions import add_absence, change_shifts, take_back_absence
from jobs.crews.queries import absences, away_between, away_on, local_day
from jobs.models import Absence
from jobs.plan.forecast_actions import CARRY_ON
from shopapp.frame import Refused, perform
from shopapp.models import BackgroundTask
from tests import makers

pytestmark = pytest.mark.django_db


@pytest.fixture
def manager():
    return makers.make_person("manager", username="alva")


@pytest.fixture
def chidi():
    return makers.make_person("installer", username="chidi")


def today():
    return local_day(timezone.now())


def in_days(number):
    return today() + timedelta(days=number)


def add(by, person, **facts):
    tap = makers.make_tap(by, at=timezone.now())
    return perform(tap, add_absence, person_pk=person.pk, **facts)


def week(**changed):
    usual = {"works": True, "starts_at": None, "ends_at": None}
    return [usual | changed.get(f"day{day}", {}) for day in range(7)]


def test_sick_today_is_one_press_on_the_list(client, manager, chidi):
    client.force_login(manager)
    page = client.get("/people-away/").content.decode()
    url = f"/people-away/{chidi.pk}/sick-today/"
    assert url in page
    response = client.post(url, {"key": "a-key-of-one-press"})
    row = Absence.objects.get()
    assert response.status_code == 303
    assert (row.person, row.because, row.half) == (chidi, "sick", "")
    assert (row.first_day, row.last_day) == (today(), today())
    assert row.said_by == manager
    page = client.get("/people-away/").content.decode()
    assert "Chidi is here after all" in page
    assert url not in page


def test_an_installer_neither_sees_why_somebody_is_away_nor_says_it(client, chidi):
    client.force_login(chidi)
    assert client.get("/people-away/").status_code == 403
    url = f"/people-away/{chidi.pk}/sick-today/"
    assert client.post(url, {"key": "a-key-of-one-press"}).status_code == 403


def test_taken_back_it_stays_as_a_row_and_is_not_in_force(manager, chidi):
    pk = add(manager, chidi)["pk"]
    perform(makers.make_tap(manager), take_back_absence, absence_pk=pk)
    assert Absence.objects.get().taken_back_at is not None
    assert away_on(today()) == []
    with pytest.raises(Refused, match="already"):
        perform(makers.make_tap(manager), take_back_absence, absence_pk=pk)


@pytest.mark.parametrize(
    ("first", "last", "field", "sentence"),
    [
        (3, 2, "last_day", "It ends before it begins."),
        (-5, -1, "last_day", "These days have passed."),
        (0, 4000, "last_day", "That is more than a year. Look at the year."),
        (4000, 4000, "last_day", "That is more than a year. Look at the year."),
    ],
)
def test_odd_days_are_said_at_the_field(
    client, manager, chidi, first, last, field, sentence
):
    client.force_login(manager)
    typed = {"first_day": in_days(first), "last_day": in_days(last)}
    more = {"person_pk": chidi.pk, "because": "off", "key": "a-key-of-one-press"}
    response = client.post("/people-away/add/", typed | more)
    page = response.content.decode()
    assert response.status_code == 422
    assert sentence in page
    assert f'value="{in_days(first)}"' in page
    assert not Absence.objects.exists()


def test_the_plan_is_asked_anew_of_each_change(manager, chidi):
    def asked():
        return BackgroundTask.objects.filter(kind=CARRY_ON).count()

    pk = add(manager, chidi)["pk"]
    assert asked() == 1
    BackgroundTask.objects.all().delete()
    perform(makers.make_tap(manager), take_back_absence, absence_pk=pk)
    assert asked() == 1
    BackgroundTask.objects.all().delete()
    perform(makers.make_tap(manager), change_shifts, person_pk=chidi.pk, week=week())
    assert asked() == 1


def test_without_a_last_day_it_is_one_day(client, manager, chidi):
    client.force_login(manager)
    typed = {"person_pk": chidi.pk, "first_day": in_days(3), "because": "off"}
    client.post("/people-away/add/", typed | {"key": "a-key-of-one-press"})
    row = Absence.objects.get()
    assert row.first_day == row.last_day == in_days(3)


def test_days_that_are_known_already_are_said(manager, chidi):
    add(manager, chidi, first_day=in_days(2), last_day=in_days(5))
    for first, last in ((2, 5), (3, 4), (4, 9), (1, 3)):
        with pytest.raises(Refused, match="Chidi is away from"):
            add(manager, chidi, first_day=in_days(first), last_day=in_days(last))
    assert Absence.objects.count() == 1


def test_sick_all_day_takes_the_place_of_a_morning_off(manager, chidi):
    add(manager, chidi, half="morning")
    add(manager, chidi, because="sick")
    (row,) = away_on(today())
    assert (row.half, row.because) == ("", "sick")


def test_a_morning_and_an_afternoon_do_not_meet(manager, chidi):
    add(manager, chidi, half="morning")
    add(manager, chidi, half="afternoon")
    assert len(away_on(today())) == 2


def test_days_of_others_do_not_matter(manager, chidi):
    add(manager, manager)
    add(manager, chidi)
    assert absences(today(), today()).count() == 2


def test_away_between_asks_as_often_for_many_as_for_one(manager, chidi):
    people = [chidi, *(makers.make_person(username=f"p{n}") for n in range(8))]
    for person in people:
        add(manager, person)
    with CaptureQueriesContext(connection) as one:
        away_between(people[:1], today(), in_days(7))
    with CaptureQueriesContext(connection) as all_of_them:
        found = away_between(people, today(), in_days(7))
    assert len(one) == len(all_of_them)
    assert all(len(found[person.pk]) == 1 for person in people)


def test_a_week_of_ones_own_counts(client, manager, chidi):
    tap = makers.make_tap(manager)
    fridays = {"day4": {"works": False}}
    perform(tap, change_shifts, person_pk=chidi.pk, week=week(**fridays))
    friday = date(2031, 5, 9)
    assert len(away_between([chidi], friday, friday)[chidi.pk]) == 1
    assert away_between([chidi], date(2031, 5, 8), date(2031, 5, 8))[chidi.pk] == ()
    client.force_login(manager)
    page = client.get(f"/settings/people/{chidi.pk}/hours/").content.decode()
    assert 'name="works_3" id="id-shift_change-works_3" checked' in page
    assert 'name="works_4" id="id-shift_change-works_4" checked' not in page
    assert "does not work" in client.get("/settings/changes/").content.decode()


def test_hours_the_wrong_way_round_are_said_at_the_field(client, manager, chidi):
    client.force_login(manager)
    url = f"/settings/people/{chidi.pk}/hours/"
    typed = {f"works_{day}": "on" for day in range(7)}
    typed |= {"starts_at_2": "14:00", "ends_at_2": "09:00", "starts_at_3": "08:00"}
    response = client.post(f"{url}change/", typed | {"key": "a-key-of-one-press"})
    page = response.content.decode()
    assert response.status_code == 422
    assert "The day ends after it begins." in page
    assert "Give both hours, or neither." in page
    assert not chidi.shifts.exists()


def test_somebody_works_on_some_day(manager, chidi):
    never = week(**{f"day{day}": {"works": False} for day in range(7)})
    with pytest.raises(Refused, match="never works"):
        perform(makers.make_tap(manager), change_shifts, person_pk=chidi.pk, week=never)
