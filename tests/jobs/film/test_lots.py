"""Lots on one car, roll ends of a lot, and what a plan claims for itself."""

from __future__ import annotations

import pytest
from django.urls import reverse

from jobs import tasks
from jobs.models import Pull, Roll
from jobs.nesting import Blank, Budget, Rules, plan_pull
from jobs.nesting import Roll as Film
from shopapp.models import BackgroundTask
from tests.jobs.pulling import confirm, film_url, plan
from tests.makers import make_booking, make_film, make_roll, make_workorder

pytestmark = pytest.mark.django_db


@pytest.fixture
def matte(db):
    return make_film("FM", name="film M", finish="matte")


def order_of(film, by):
    return make_workorder(by, booking=make_booking(by, film=film))


def page_of(client, order):
    return client.get(film_url(order)).content.decode()


def spoil(client, order, code, *, key="s" * 16):
    panel = order.panels.get(panel=code)
    url = reverse("jobs:pull_recut", args=[order.pk, panel.pk])
    assert client.post(url, {"key": key}).status_code == 303
    return Pull.objects.get(workorder=order, state="planned")


def searched(client, order):
    for task in BackgroundTask.objects.filter(kind="solvers.pull", state="waiting"):
        tasks.search_pull(task.pk)
    return page_of(client, order)


def rolls_of(pull):
    return {code for code, _length in pull.plan["plan"]["pulls"]}


def test_another_lot_of_a_matte_film_is_said(client, matte, manager):
    client.force_login(manager)
    first = make_roll(matte, code="R1", lot="A-1", left_mm=9000)
    order = order_of(matte, manager)
    confirm(client, plan(client, order))
    Roll.objects.filter(pk=first.pk).update(left_mm=0)
    make_roll(matte, code="R2", lot="A-2", left_mm=9000)
    spoil(client, order, "mirror_left")
    page = page_of(client, order)
    assert "The film on this car is of lot A-1; R2 is of lot A-2." in page
    assert "side by side" in page


def test_another_lot_of_a_clear_film_needs_no_word(client, manager):
    client.force_login(manager)
    film = make_film()
    first = make_roll(film, code="R1", lot="A-1", left_mm=9000)
    order = order_of(film, manager)
    confirm(client, plan(client, order))
    Roll.objects.filter(pk=first.pk).update(left_mm=0)
    make_roll(film, code="R2", lot="A-2", left_mm=9000)
    spoil(client, order, "mirror_left")
    assert "side by side" not in page_of(client, order)


def test_a_matte_panel_is_cut_again_from_the_lot_on_the_car(client, matte, manager):
    client.force_login(manager)
    make_roll(matte, code="R9", lot="A-1", left_mm=40_000)
    order = order_of(matte, manager)
    confirm(client, plan(client, order))
    # A shorter roll would be used up first, were it not of another lot.
    make_roll(matte, code="R2", lot="A-2", left_mm=3000)
    assert rolls_of(spoil(client, order, "hood")) == {"R9"}


def test_a_matte_car_is_planned_from_one_lot_where_that_is_enough(
    client, matte, manager
):
    client.force_login(manager)
    make_roll(matte, code="R1", lot="A-1", left_mm=2000)
    make_roll(matte, code="R2", lot="A-2", left_mm=3000)
    make_roll(matte, code="R3", lot="A-3", left_mm=3000)
    make_roll(matte, code="R4", lot="A-3", left_mm=3500)
    pull = plan(client, order_of(matte, manager))
    assert rolls_of(pull) == {"R3", "R4"}


def test_two_lots_on_a_matte_car_stay_said(client, matte, manager):
    client.force_login(manager)
    first = make_roll(matte, code="R1", lot="A-1", left_mm=9000)
    order = order_of(matte, manager)
    confirm(client, plan(client, order))
    Roll.objects.filter(pk=first.pk).update(left_mm=0)
    make_roll(matte, code="R2", lot="A-2", left_mm=9000)
    confirm(client, spoil(client, order, "mirror_left"), key="x" * 16)
    page = page_of(client, order)
    assert "Film of several lots is on this car: A-1, A-2." in page


# --- what is left of a roll


def test_the_end_of_a_roll_goes_first_where_its_lot_goes_on(client, manager):
    """1.4 m of a wide roll take the hood; the rest is shorter by far without it."""
    client.force_login(manager)
    film = make_film()
    make_roll(film, code="R2", lot="A-1", left_mm=14_000)
    make_roll(film, code="R3", lot="A-2", left_mm=30_000)
    make_roll(film, code="R4", lot="A-2", left_mm=1420, width_mm=1829)
    pull = plan(client, order_of(film, manager))
    assert rolls_of(pull) == {"R3", "R4"}


def test_the_end_of_another_lot_is_left_alone(client, manager):
    client.force_login(manager)
    film = make_film()
    make_roll(film, code="R2", lot="A-1", left_mm=14_000)
    make_roll(film, code="R4", lot="A-2", left_mm=1420, width_mm=1829)
    assert rolls_of(plan(client, order_of(film, manager))) == {"R2"}


def test_an_end_that_saves_little_stays_on_the_shelf():
    """A second roll on the bench for a few centimetres is no gain."""
    found = plan_pull(
        blanks=[
            Blank(id="a", width_mm=1500, length_mm=1000),
            Blank(id="b", width_mm=1500, length_mm=1000),
        ],
        rolls=[
            Film(id="end", width_mm=1524, remaining_mm=1600),
            Film(id="main", width_mm=1524, remaining_mm=9000),
        ],
        rules=Rules(gap_mm=10, lead_mm=20),
        budget=Budget(tries=0),
    )
    assert {pull.roll_id for pull in found.pulls} == {"main"}


# --- one claim


CLAIMS = ("shortest possible", "can be shorter", "nothing shorter", "a knife cannot")


def claims_in(page, pull):
    head = page.split(f'id="pull-{pull.pk}"')[1].split("Saved against")[0]
    return [claim for claim in CLAIMS if claim in head]


def test_while_a_shorter_plan_is_looked_for_nothing_is_claimed(client, manager):
    client.force_login(manager)
    film = make_film()
    make_roll(film, left_mm=40_000)
    order = order_of(film, manager)
    pull = plan(client, order)
    page = page_of(client, order)
    assert "a shorter one is being looked for" in page
    assert claims_in(page, pull) == []


def test_a_searched_plan_makes_one_claim_and_says_what_it_holds_for(client, manager):
    client.force_login(manager)
    film = make_film()
    make_roll(film, left_mm=40_000)
    order = order_of(film, manager)
    plan(client, order)
    page = searched(client, order)
    pull = Pull.objects.get(state="planned")
    assert len(claims_in(page, pull)) == 1
    assert "on one roll" in page
