"""A car is moved by a form; a plan is asked for, published, dropped by a press."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.utils import timezone

from jobs.models import BayPlan, Booking, CarWish
from jobs.opening.queries import opening_of
from jobs.plan.shop import Part
from jobs.plan.stored import plan_from_json
from jobs.stages.table import Stage
from shopapp.models import the_shop
from tests import makers
from tests.jobs.plan.plans import HOUR

pytestmark = pytest.mark.django_db
State = BayPlan.State


@pytest.fixture
def manager(client):
    person = makers.make_person("manager", "desk", username="alva")
    client.force_login(person)
    return person


@pytest.fixture
def now():
    return timezone.now()


@pytest.fixture
def chidi():
    return makers.make_person("installer", username="chidi")


@pytest.fixture
def bay():
    return makers.make_bay("Bay 2")


@pytest.fixture
def booking(manager, now):
    vehicle = makers.make_vehicle(plate="KTR 4821")
    return makers.make_booking(vehicle=vehicle, at=now - 2 * HOUR)


def open_day(now, ahead: int):
    """The next open day at least so many days from today."""
    shop = the_shop()
    today = timezone.localtime(now, shop.zone).date()
    return opening_of(shop).first_open_day(today + timedelta(days=ahead))


keys = iter(range(10_000))


def move(client, booking, **typed):
    key = f"a-key-of-one-press-{next(keys)}"
    return client.post(f"/plan/cars/{booking.pk}/move/", {"key": key, **typed})


def errors(response) -> dict[str, list[str]]:
    assert response.status_code == 422
    return dict(response.context["form"].errors)


def test_what_is_fixed_is_kept_and_stands_on_the_car_s_page(
    client, booking, chidi, bay, now
):
    day = open_day(now, 1)
    typed = {"on": day.isoformat(), "half": "morning", "bay": bay.pk}
    response = move(client, booking, **typed, people=[chidi.pk], is_first="on")
    assert response.status_code == 303
    wish = CarWish.objects.get(booking=booking)
    assert (wish.day, wish.half, wish.weight) == (day, "morning", 4)
    assert list(wish.people.all()) == [chidi]
    booking.refresh_from_db()
    assert booking.bay == bay
    page = client.get(f"/plan/cars/{booking.pk}/")
    fixed = [one.words for one in page.context["fixed"]]
    assert fixed == [
        f"{day:%A} {day.day} {day:%B}, morning",
        "Bay 2",
        "Chidi",
        "before others",
    ]


def test_one_thing_is_let_go_and_the_others_stay(client, booking, chidi, bay, now):
    day = open_day(now, 30)
    typed = {"on": "other", "day": day.isoformat(), "bay": bay.pk, "people": [chidi.pk]}
    move(client, booking, **typed)
    page = client.get(f"/plan/cars/{booking.pk}/")
    the_bay = next(one for one in page.context["fixed"] if one.name == "bay")
    rest: dict[str, list[str]] = {}
    for name, value in the_bay.rest:
        rest.setdefault(name, []).append(value)
    assert move(client, booking, **rest).status_code == 303
    booking.refresh_from_db()
    wish = CarWish.objects.get(booking=booking)
    assert booking.bay is None
    assert (wish.day, list(wish.people.all())) == (day, [chidi])


def test_a_day_far_ahead_comes_back_as_another_day(client, booking, now):
    day = open_day(now, 30)
    move(client, booking, on="other", day=day.isoformat())
    form = client.get(f"/plan/cars/{booking.pk}/").context["form"]
    assert (form["on"].value(), form["day"].value()) == ("other", day.isoformat())


def test_of_a_cancelled_booking_the_page_says_so_and_nothing_else(client, booking):
    Booking.objects.update(state=Booking.State.CANCELLED)
    page = client.get(f"/plan/cars/{booking.pk}/").content.decode()
    assert "This booking was cancelled." in page
    assert "It comes" not in page
    assert "planned yet" not in page
    assert f'action="/plan/cars/{booking.pk}/move/"' not in page


def test_what_cannot_be_is_said_at_its_field(client, booking, bay, now):
    past = timezone.localdate() - timedelta(days=3)
    sunday = next(
        day
        for ahead in range(1, 8)
        if (day := timezone.localdate() + timedelta(days=ahead)).weekday() == 6
    )
    assert "passed" in str(errors(move(client, booking, on="other", day=past))["day"])
    assert "closed" in str(errors(move(client, booking, on="other", day=sunday))["day"])
    assert "which day" in str(errors(move(client, booking, on="other"))["day"])
    assert "which day" in str(errors(move(client, booking, half="morning"))["on"])
    assert "on" in errors(move(client, booking, on="2031-99-99"))
    assert "day" in errors(move(client, booking, on="other", day="tomorrow-ish"))
    bay.retired = True
    bay.save()
    assert "not used any more" in str(errors(move(client, booking, bay=bay.pk))["bay"])
    stranger = makers.make_person("desk", username="ben")
    refused = errors(move(client, booking, people=[stranger.pk]))
    assert "lay film" in str(refused["people"])
    assert not CarWish.objects.exists()


def test_a_car_whose_film_work_has_begun_cannot_be_moved(client, booking, now):
    makers.make_workorder(booking=booking, at=now - 2 * HOUR, stage=Stage.INSTALL)
    page = client.get(f"/plan/cars/{booking.pk}/").content.decode()
    assert "it stays where it is" in page
    assert 'name="half"' not in page
    assert move(client, booking, half="").status_code == 422


def test_an_installer_reads_the_steps_and_moves_nothing(client, booking, chidi):
    client.force_login(chidi)
    page = client.get(f"/plan/cars/{booking.pk}/").content.decode()
    assert 'name="half"' not in page
    assert move(client, booking).status_code == 403


def press(client, url: str):
    return client.post(url, {"key": f"a-key-of-one-press-{next(keys)}"})


def test_a_press_of_plan_leads_to_the_proposal_which_is_published(
    client, booking, chidi, bay
):
    asked = press(client, "/plan/make/")
    assert (asked.status_code, asked["Location"]) == (303, "/plan/proposal/")
    row = BayPlan.objects.get(state=State.PROPOSED)
    page = client.get("/plan/proposal/").content.decode()
    assert f"/plan/proposal/{row.pk}/publish/" in page
    assert f"/plan/proposal/{row.pk}/stop/" in page
    done = press(client, f"/plan/proposal/{row.pk}/publish/")
    assert (done.status_code, done["Location"]) == (303, "/plan/")
    assert BayPlan.objects.get(state=State.PUBLISHED).pk == row.pk
    again = press(client, f"/plan/proposal/{row.pk}/publish/")
    assert again.status_code == 422
    assert "published already" in again.content.decode()


def test_where_there_is_no_car_nothing_is_proposed(client, manager):
    answer = press(client, "/plan/make/")
    assert answer.status_code == 422
    page = answer.content.decode()
    assert "There is no car to plan." in page
    assert "/publish/" not in page
    assert not BayPlan.objects.exists()


def test_a_proposal_is_dropped_and_the_plan_stays(client, booking, chidi, bay):
    press(client, "/plan/make/")
    row = BayPlan.objects.get(state=State.PROPOSED)
    assert press(client, f"/plan/proposal/{row.pk}/stop/").status_code == 303
    assert press(client, f"/plan/proposal/{row.pk}/drop/")["Location"] == "/plan/"
    row.refresh_from_db()
    assert row.state == State.DROPPED


def test_the_desk_may_look_at_a_proposal_and_not_publish_it(
    client, booking, chidi, bay
):
    press(client, "/plan/make/")
    row = BayPlan.objects.get(state=State.PROPOSED)
    client.force_login(makers.make_person("desk", username="ben"))
    page = client.get("/plan/proposal/").content.decode()
    assert "/publish/" not in page
    assert press(client, f"/plan/proposal/{row.pk}/publish/").status_code == 403


def look(client, booking, **typed) -> str:
    response = client.post(
        f"/plan/cars/{booking.pk}/look/",
        typed,
        headers={"HX-Request": "true", "HX-Target": "plan-look"},
    )
    assert response.status_code == 200
    return response.content.decode()


def test_what_is_in_the_way_is_said_before_anything_is_kept(
    client, booking, chidi, bay, now
):
    chidi.can_install = chidi.can_prep = chidi.can_inspect = True
    chidi.save()
    other = makers.make_booking(
        vehicle=makers.make_vehicle(plate="AAA 111"), at=now - 2 * HOUR, bay=bay
    )
    press(client, "/plan/make/")
    row = BayPlan.objects.get(state=State.PROPOSED)
    press(client, f"/plan/proposal/{row.pk}/publish/")
    plan = plan_from_json(BayPlan.objects.get(state=State.STANDING).facts)
    stay = next(
        step for step in plan.steps_of(f"booking-{other.pk}") if step.part is Part.STAY
    )
    day = timezone.localtime(stay.starts_at, the_shop().zone).date()
    said = look(client, booking, on="other", day=day, bay=stay.spot.split("-")[1])
    assert "Bay 2 is taken" in said
    assert "AAA 111" in said
    assert "It can be kept all the same" in said
    assert "While the other cars stay: film work" in said
    assert not CarWish.objects.exists()


def test_a_look_says_that_a_person_is_away_and_names_a_wrong_field(
    client, booking, chidi, bay, now
):
    day = open_day(now, 2)
    chidi.absences.create(first_day=day, last_day=day)
    typed = {"on": "other", "day": day.isoformat(), "people": [chidi.pk]}
    assert "Chidi is away then." in look(client, booking, **typed)
    assert "Say which day." in look(client, booking, on="other")


def test_without_scripts_a_look_is_the_page_with_what_was_typed(client, booking, bay):
    response = client.post(f"/plan/cars/{booking.pk}/look/", {"bay": bay.pk})
    assert response.status_code == 200
    form = response.context["form"]
    assert form["bay"].value() == str(bay.pk)
    assert "<h1>" in response.content.decode()
