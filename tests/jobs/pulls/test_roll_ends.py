"""A roll that ends in the middle of a pull, and film taken without a plan."""

from __future__ import annotations

import pytest
from django.urls import reverse

from jobs.models import FilmMovement, Pull, Roll
from jobs.pulls.queries import panels_to_cut
from jobs.pulls.shown_queries import pull_shown
from tests.jobs.pulling import confirm, film_url, plan, plan_together
from tests.makers import (
    make_booking,
    make_film,
    make_roll,
    make_vehicle,
    make_workorder,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def roll(db):
    return make_roll(make_film(), left_mm=40_000)


@pytest.fixture
def order(roll, manager):
    return make_workorder(manager, booking=make_booking(manager, film=roll.film))


def page_of(client, order):
    return client.get(film_url(order)).content.decode()


def waiting(order):
    return {panel.panel for panel in panels_to_cut(order)}


def test_a_length_too_short_for_a_panel_asks_whether_the_roll_ended(
    client, order, manager
):
    client.force_login(manager)
    pull = plan(client, order)
    page = confirm(client, pull, length_0="1100").content.decode()
    assert "It is too short for:" in page
    assert "Did the roll end there?" in page
    assert "The roll ended here" in page


def test_the_roll_ended_is_an_answer(client, order, roll, manager):
    client.force_login(manager)
    make_roll(roll.film, code="R2", left_mm=9000)
    pull = plan(client, order)
    (used, _length) = pull.plan["plan"]["pulls"][0]
    answer = confirm(client, pull, length_0="1700", ended_0="on")
    assert answer.status_code == 303, "the roll ended: no number is odd then"
    ended = Roll.objects.get(code=used)
    assert ended.left_mm == 0
    assert ended.retired_at is not None
    last = ended.movements.last()
    assert (last.what, last.reason) == ("counted", "the roll ended")


def test_what_the_roll_did_not_reach_is_planned_and_not_counted_as_cut(
    client, order, roll, manager
):
    client.force_login(manager)
    make_roll(roll.film, code="R2", left_mm=9000)
    pull = plan(client, order)
    confirm(client, pull, length_0="1700", ended_0="on")
    assert waiting(order), "what was beyond the end waits for film"
    again = Pull.objects.get(workorder=order, state="planned")
    assert {row["panel"] for row in again.plan["panels"]} == waiting(order)
    (other,) = again.plan["plan"]["pulls"]
    assert other[0] != pull.plan["plan"]["pulls"][0][0], "off another roll"
    page = page_of(client, order)
    assert "the roll ended" in page
    assert confirm(client, again, key="n" * 16).status_code == 303
    assert waiting(order) == set()


def test_a_roll_that_reached_no_panel_is_waste_whole_and_its_rest_is_in_the_history(
    client, order, roll, manager
):
    client.force_login(manager)
    make_roll(roll.film, code="R2", left_mm=9000)
    pull = plan(client, order)
    used = Roll.objects.get(code=pull.plan["plan"]["pulls"][0][0])
    thought_mm = used.left_mm - 250
    confirm(client, pull, length_0="250", ended_0="on")
    pull.refresh_from_db()
    assert pull.cut_panels == []
    waste = pull_shown(pull).waste
    assert waste is not None
    assert waste.value == 100
    history = client.get(reverse("jobs:workorder_history", args=[order.pk]))
    length = f"{thought_mm / 1000:.4g}"
    assert (
        f"{length} m that stood on the list was not there" in history.content.decode()
    )


def test_pressed_twice_the_roll_ends_once(client, order, roll, manager):
    client.force_login(manager)
    make_roll(roll.film, code="R2", left_mm=9000)
    pull = plan(client, order)
    for _ in range(2):
        answer = confirm(client, pull, length_0="1700", ended_0="on")
        assert answer.status_code == 303
    assert FilmMovement.objects.filter(what="counted").count() == 1
    assert Pull.objects.filter(state="planned").count() == 1


def test_without_another_roll_the_rest_waits_for_film(client, order, roll, manager):
    client.force_login(manager)
    pull = plan(client, order)
    answer = confirm(client, pull, length_0="1700", ended_0="on")
    page = client.get(answer.url).content.decode()
    assert "No film is left for:" in page
    assert "There is no roll and no off-cut of film A." in page
    assert waiting(order)


def test_a_roll_that_ended_past_the_last_panel_leaves_nothing_to_plan(
    client, order, roll, manager
):
    client.force_login(manager)
    pull = plan(client, order)
    length = str(pull.planned_mm)
    assert confirm(client, pull, length_0=length, ended_0="on").status_code == 303
    assert not Pull.objects.filter(state="planned").exists()
    assert waiting(order) == set()
    assert Roll.objects.get(pk=roll.pk).left_mm == 0


def test_more_than_the_base_believes_leads_to_count_the_roll(
    client, order, roll, manager
):
    client.force_login(manager)
    pull = plan(client, order)
    page = confirm(client, pull, length_0="40001").content.decode()
    assert "Roll R1 holds only" in page
    assert reverse("jobs:roll_detail", args=[roll.pk]) in page


def test_film_taken_short_claims_nothing_for_its_plan(client, order, manager):
    client.force_login(manager)
    pull = plan(client, order)
    confirm(client, pull, length_0="1100", measured_so="on")
    card = (
        page_of(client, order)
        .split(f'id="pull-{pull.pk}"')[1]
        .split("Saved against")[0]
    )
    assert "really taken" in card
    for claim in ("shortest possible", "can be shorter", "nothing shorter", "a knife"):
        assert claim not in card


# --- without a plan


def take_by_eye(client, order, **typed):
    url = reverse("jobs:workorder_film", args=[order.pk]) + "take/"
    data = {"key": "e" * 16, "roll": "R1", "length_mm": "6.1"} | typed
    return client.post(url, data)


def test_film_taken_without_a_plan_is_one_number(client, order, roll, manager):
    client.force_login(manager)
    assert "Film taken without a plan" in page_of(client, order)
    codes = [panel.panel for panel in order.panels.all()]
    assert take_by_eye(client, order, panels=codes).status_code == 303
    roll.refresh_from_db()
    assert roll.left_mm == 40_000 - 6100
    assert waiting(order) == set()
    page = page_of(client, order)
    assert "Taken without a plan" in page
    assert "6.1 m" in page
    assert order.events.filter(what="film_pulled").count() == 1


def test_film_by_eye_puts_a_plan_for_the_same_panels_aside(client, order, manager):
    client.force_login(manager)
    pull = plan(client, order)
    take_by_eye(client, order, panels=["hood"])
    pull.refresh_from_db()
    assert pull.state == "replaced"
    assert "hood" not in waiting(order)
    assert len(waiting(order)) == order.panels.count() - 1


def test_film_by_eye_for_no_panel_leaves_the_plan_alone(client, order, manager):
    client.force_login(manager)
    pull = plan(client, order)
    assert take_by_eye(client, order).status_code == 303
    pull.refresh_from_db()
    assert pull.state == "planned"


def test_more_by_eye_than_the_roll_holds_is_refused_at_the_number(
    client, order, roll, manager
):
    client.force_login(manager)
    answer = take_by_eye(client, order, length_mm="41")
    assert answer.status_code == 422
    page = answer.content.decode()
    assert "Roll R1 holds only" in page
    assert reverse("jobs:roll_detail", args=[roll.pk]) in page


def test_a_roll_may_end_by_eye_too(client, order, roll, manager):
    client.force_login(manager)
    assert take_by_eye(client, order, ended="on").status_code == 303
    roll.refresh_from_db()
    assert roll.left_mm == 0


def test_the_desk_takes_no_film_by_eye(client, order, desk):
    client.force_login(desk)
    assert take_by_eye(client, order).status_code == 403


def test_a_roll_that_ends_for_two_cars_leaves_each_its_own_rest(
    client, order, roll, manager
):
    client.force_login(manager)
    make_roll(roll.film, code="R2", left_mm=30_000)
    car = make_vehicle(plate="TST 2", vin="")
    booking = make_booking(manager, film=roll.film, vehicle=car)
    two = [order, make_workorder(manager, booking=booking)]
    first, _second = plan_together(client, two)
    answer = confirm(client, first, length_0="3500", ended_0="on")
    assert answer.status_code == 303
    again = Pull.objects.filter(state="planned")
    assert {pull.workorder_id for pull in again} <= {each.pk for each in two}
    for each in two:
        rest = again.filter(workorder=each).first()
        planned = {
            row["panel"]
            for row in (rest.plan["panels"] if rest else [])
            if row["group"] == each.number
        }
        assert planned == waiting(each)
    assert sum(len(waiting(each)) for each in two) > 0


def test_a_spoilt_panel_beyond_the_end_is_planned_as_spoilt(
    client, order, roll, manager
):
    client.force_login(manager)
    confirm(client, plan(client, order))
    make_roll(roll.film, code="R2", left_mm=30_000)
    panel = order.panels.get(panel="hood")
    url = reverse("jobs:pull_recut", args=[order.pk, panel.pk])
    client.post(url, {"key": "s" * 16})
    spoilt = Pull.objects.get(state="planned")
    answer = confirm(client, spoilt, key="f" * 16, length_0="1100", ended_0="on")
    assert answer.status_code == 303
    again = Pull.objects.get(state="planned")
    assert again.pk != spoilt.pk
    assert again.plan["spoilt"] == ["hood"]
