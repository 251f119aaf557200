"""Several cars planned and pulled together, as people press it."""

from __future__ import annotations

import pytest
from django.urls import reverse

from jobs.models import Pull
from jobs.pulls.actions import plan_several
from jobs.pulls.queries import panels_to_cut, quick_plan
from jobs.pulls.stored import pull_from_json
from shopapp.frame import Refused, perform
from tests.jobs.pulling import confirm, plan, plan_together, replan
from tests.makers import (
    make_booking,
    make_film,
    make_roll,
    make_tap,
    make_vehicle,
    make_workorder,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def roll(db):
    return make_roll(make_film(reorder_below_mm=5000), left_mm=40_000)


@pytest.fixture
def order(roll, manager):
    return make_workorder(manager, booking=make_booking(manager, film=roll.film))


@pytest.fixture
def two(order, roll, manager):
    car = make_vehicle(plate="TST 2", vin="")
    other = make_workorder(
        manager, booking=make_booking(manager, film=roll.film, vehicle=car)
    )
    return [order, other]


def test_cars_of_a_day_share_one_pull_and_its_length(client, two, roll, manager):
    client.force_login(manager)
    pulls = plan_together(client, two)
    whole = pull_from_json(pulls[0].plan).plan
    assert [pull.workorder for pull in pulls] == two
    assert sum(pull.planned_mm for pull in pulls) == whole.length_mm
    assert confirm(client, pulls[0]).status_code == 303
    roll.refresh_from_db()
    assert roll.left_mm == 40_000 - whole.length_mm
    taken = Pull.objects.filter(state="taken")
    assert sum(pull.taken_mm for pull in taken) == whole.length_mm
    for order in two:
        assert order.events.filter(what="film_pulled").count() == 1
        assert panels_to_cut(order) == []


def test_planning_one_car_anew_puts_the_shared_plan_aside(client, two, manager):
    client.force_login(manager)
    shared = plan_together(client, two)
    plan(client, two[0])
    states = set(
        Pull.objects.filter(pk__in=[p.pk for p in shared]).values_list("state")
    )
    assert states == {("replaced",)}


def test_the_other_cars_history_says_that_their_plan_was_put_aside(
    client, two, manager
):
    client.force_login(manager)
    plan_together(client, two)
    plan(client, two[0])
    event = two[1].events.get(what="pull_set_aside")
    assert event.facts["because_of"] == [two[0].number]
    assert not two[0].events.filter(what="pull_set_aside").exists()
    page = client.get(reverse("jobs:workorder_history", args=[two[1].pk]))
    said = f"The shared pull was put aside by {two[0].number}"
    assert said in page.content.decode()


def test_dropping_a_shared_plan_is_in_the_history_of_every_car(client, two, manager):
    client.force_login(manager)
    shared = plan_together(client, two)
    url = reverse("jobs:pull_drop", args=[two[0].pk, shared[0].pk])
    assert client.post(url, {"key": "d" * 16}).status_code == 303
    assert two[0].events.filter(what="pull_dropped").count() == 1
    assert two[1].events.filter(what="pull_set_aside").count() == 1


def test_a_shared_plan_made_again_is_still_shared(client, two, manager):
    client.force_login(manager)
    shared = plan_together(client, two)
    assert replan(client, shared[0]).status_code == 303
    again = Pull.objects.filter(state="planned").order_by("workorder")
    assert [pull.workorder for pull in again] == two
    assert {pull.cut_plan_id for pull in again} != {shared[0].cut_plan_id}


def test_one_car_alone_is_no_day(client, two, manager):
    client.force_login(manager)
    film = two[0].film
    url = reverse("jobs:pull_day_plan", args=[film.pk])
    data = {"key": "t" * 16, f"film-{film.pk}-workorders": [two[0].pk]}
    response = client.post(url, data)
    assert response.status_code == 422
    assert "Choose two cars or more." in response.content.decode()


def test_two_films_are_not_pulled_together(two, manager):
    film = make_film("FB")
    make_roll(film, code="R5")
    two[1].film = film
    two[1].save()
    quick = quick_plan(two[0].film, [(order, panels_to_cut(order)) for order in two])
    with pytest.raises(Refused, match="does not take this film"):
        perform(
            make_tap(manager), plan_several,
            workorder_pks=[order.pk for order in two], quick=quick,
        )  # fmt: skip
