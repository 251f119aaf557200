"""A pull that waits is held against its order again before its film is taken."""

from __future__ import annotations

import pytest
from django.urls import reverse

from jobs.models import FilmMovement, Pull
from jobs.panels.actions import measure_panel, strike_panel
from jobs.pulls.actions import plan_the_pull
from jobs.pulls.queries import panels_to_cut, quick_plan
from shopapp.frame import Refused, perform
from tests.jobs.pulling import confirm, film_url, plan, plan_together, replan
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
    return make_roll(make_film(), left_mm=40_000)


@pytest.fixture
def order(roll, manager):
    return make_workorder(manager, booking=make_booking(manager, film=roll.film))


def strike(order, by, code, *, because="not wanted"):
    panel = order.panels.get(panel=code)
    perform(
        make_tap(by), strike_panel,
        workorder_pk=order.pk, panel_pk=panel.pk, because=because,
    )  # fmt: skip


def measure(order, by, code, *, length_mm, width_mm):
    perform(
        make_tap(by), measure_panel,
        workorder_pk=order.pk, panel=code, length_mm=length_mm, width_mm=width_mm,
    )  # fmt: skip


def pulled():
    return FilmMovement.objects.filter(what="pulled").count()


def page_of(client, order):
    return client.get(film_url(order)).content.decode()


def test_film_for_a_panel_struck_off_since_is_not_taken(client, order, manager):
    client.force_login(manager)
    pull = plan(client, order)
    strike(order, manager, "front_bumper")
    answer = confirm(client, pull)
    assert answer.status_code == 422
    assert "Struck off since: front bumper." in answer.content.decode()
    assert pulled() == 0


def test_the_page_says_what_changed_and_offers_to_plan_again(client, order, manager):
    client.force_login(manager)
    pull = plan(client, order)
    assert "Struck off since" not in page_of(client, order)
    strike(order, manager, "front_bumper")
    page = page_of(client, order)
    assert "Struck off since: front bumper." in page
    assert page.count("Plan again</button>") == 1
    assert "Film taken</button>" not in page.split("Film taken without a plan")[0]
    assert replan(client, pull).status_code == 303
    page = page_of(client, order)
    assert "Struck off since" not in page
    again = Pull.objects.get(state="planned")
    assert "front_bumper" not in {row["panel"] for row in again.plan["panels"]}


def test_a_struck_panel_never_counts_as_cut(client, order, manager):
    client.force_login(manager)
    pull = plan(client, order)
    strike(order, manager, "front_bumper")
    confirm(client, pull)
    replan(client, pull)
    for waiting in Pull.objects.filter(state="planned"):
        confirm(client, waiting, key="x" * 16)
    strike(order, manager, "front_bumper", because="")
    assert [panel.panel for panel in panels_to_cut(order)] == ["front_bumper"]


def test_film_for_a_panel_measured_since_is_not_taken(client, order, manager):
    client.force_login(manager)
    pull = plan(client, order)
    measure(order, manager, "hood", length_mm=1000, width_mm=1300)
    answer = confirm(client, pull)
    assert answer.status_code == 422
    assert "hood: 11" in answer.content.decode()
    assert pulled() == 0


def test_a_panel_put_on_since_is_planned_too(client, order, manager):
    client.force_login(manager)
    strike(order, manager, "hood")
    pull = plan(client, order)
    strike(order, manager, "hood", because="")
    answer = confirm(client, pull)
    assert answer.status_code == 422
    assert "Not in this plan: hood." in answer.content.decode()


def test_a_plan_for_another_film_is_not_taken(client, order, manager):
    client.force_login(manager)
    pull = plan(client, order)
    order.film = make_film("FB", name="film B")
    order.save()
    answer = confirm(client, pull)
    assert answer.status_code == 422
    assert "The order is for film B now" in answer.content.decode()


def test_a_plan_made_before_the_order_changed_is_not_kept(order, manager):
    made_before = quick_plan(order.film, [(order, panels_to_cut(order))])
    strike(order, manager, "front_bumper")
    with pytest.raises(Refused, match="changed at this moment"):
        perform(
            make_tap(manager), plan_the_pull,
            workorder_pk=order.pk, quick=made_before,
        )  # fmt: skip


def test_a_shared_plan_waits_for_every_car_of_it(client, order, roll, manager):
    client.force_login(manager)
    car = make_vehicle(plate="TST 2", vin="")
    other = make_workorder(
        manager, booking=make_booking(manager, film=roll.film, vehicle=car)
    )
    first, _second = plan_together(client, [order, other])
    strike(other, manager, "hood")
    answer = confirm(client, first)
    assert answer.status_code == 422
    assert "Struck off since: TST 2: hood." in answer.content.decode()
    assert replan(client, first).status_code == 303
    again = Pull.objects.filter(state="planned").order_by("workorder")
    assert [pull.workorder for pull in again] == [order, other]


def test_a_plan_for_two_cars_is_kept_once(client, order, roll, manager):
    client.force_login(manager)
    car = make_vehicle(plate="TST 2", vin="")
    other = make_workorder(
        manager, booking=make_booking(manager, film=roll.film, vehicle=car)
    )
    pulls = plan_together(client, [order, other])
    assert len({getattr(pull, "cut_plan_id", pull.pk) for pull in pulls}) == 1


def test_the_paper_says_that_its_plan_is_out_of_date(client, order, manager):
    client.force_login(manager)
    plan(client, order)
    strike(order, manager, "front_bumper")
    url = reverse("jobs:paper_issue", args=[order.pk])
    client.post(url, {"key": "i" * 16, "kind": "cut_list", "size": "A4"})
    facts = order.papers.get(kind="cut_list").facts
    assert "Struck off since: front bumper." in str(facts)
