"""Measured panels and allowances: which of them is meant for a car."""

from __future__ import annotations

from dataclasses import asdict

import pytest
from django.urls import reverse

from jobs.coverage.allowances import USUAL, AllowanceSet, allowance_for, allowance_of
from jobs.coverage.catalogue import Body, Method, PanelChoice
from jobs.coverage.measured import Car, MeasuredSize, sizes_on
from jobs.coverage.measured_queries import allowances, car_of, measured_on_all
from jobs.models import MeasuredPanel, PanelAllowance
from jobs.pulls.queries import panels_to_cut, pull_job
from shopapp.models import Shop
from tests.makers import (
    make_booking,
    make_film,
    make_person,
    make_roll,
    make_vehicle,
    make_workorder,
)

HAND, PRE_CUT = Method.HAND_FITTED, Method.PRE_CUT
COMET = Car(make="Alder", model="Comet", body=Body.SEDAN, year=2021)


def measured(length_mm=1100, **changed):
    facts = {
        "panel": "hood",
        "length_mm": length_mm,
        "width_mm": 1500,
        "make": "Alder",
        "model": "Comet",
        "body": Body.SEDAN,
        "year_from": 2019,
        "year_to": 2022,
    }
    return MeasuredSize(**{**facts, **changed})


def hood_on(car, *sizes):
    found = sizes_on(car, sizes).get("hood")
    return found and found.length_mm


@pytest.mark.parametrize(
    "other",
    [
        {"model": "Comet Cross"},
        {"make": "Birch"},
        {"body": Body.HATCH},
        {"year_from": 2022, "year_to": 2024},
        {"year_from": None, "year_to": 2020},
    ],
)
def test_a_panel_of_another_car_is_not_used(other):
    assert hood_on(COMET, measured(**other)) is None


@pytest.mark.parametrize(
    "same",
    [
        {},
        {"model": " COMET "},
        {"make": ""},
        {"year_from": None, "year_to": None},
        {"year_from": 2021, "year_to": None},
        {"year_from": 2021, "year_to": 2021},
    ],
)
def test_a_panel_of_such_a_car_is_used(same):
    assert hood_on(COMET, measured(**same)) == 1100


def test_the_newest_of_two_alike_is_used():
    assert hood_on(COMET, measured(1100), measured(1120)) == 1120


def test_a_size_for_these_years_beats_a_newer_one_for_any_year():
    any_year = measured(1180, year_from=None, year_to=None)
    assert hood_on(COMET, measured(1100), any_year) == 1100


def test_a_size_for_this_make_beats_a_newer_one_for_any_make():
    assert hood_on(COMET, measured(1100), measured(1180, make="")) == 1100


def test_the_years_that_a_size_is_for_are_said():
    assert measured().cars == "Alder Comet 2019 to 2022"
    assert measured(year_to=2019).cars == "Alder Comet 2019"
    assert measured(year_to=None).cars == "Alder Comet from 2019"
    assert measured(year_from=None, make="").cars == "Comet up to 2022"
    assert measured(year_from=None, year_to=None).cars == "Alder Comet"


def test_what_is_set_for_a_panel_beats_what_is_set_for_all_side_by_side():
    shop = {
        ("", HAND): AllowanceSet(kind="", method=HAND, hold_length_mm=50.0),
        ("hood", HAND): AllowanceSet(kind="hood", method=HAND, hold_width_mm=75.0),
    }
    hood = allowance_of("hood", method=HAND, shop=shop)
    assert (hood.hold_length_mm, hood.hold_width_mm) == (50.0, 75.0)
    assert hood.wrap_width_mm == USUAL[HAND].wrap_width_mm
    assert allowance_of("roof", method=HAND, shop=shop).hold_width_mm == 60.0


def test_by_hand_and_pre_cut_are_set_apart():
    own = AllowanceSet(kind="hood", method=PRE_CUT, wrap_length_mm=4.0)
    shop = {("hood", PRE_CUT): own}
    by_hand = PanelChoice(panel="hood")
    pre_cut = PanelChoice(panel="hood", method=PRE_CUT)
    assert allowance_for(by_hand, shop=shop) == USUAL[HAND]
    assert allowance_for(pre_cut, shop=shop).wrap_length_mm == 4.0


def test_left_and_right_are_one_kind():
    own = AllowanceSet(kind="front_fender", method=HAND, hold_length_mm=70.0)
    shop = {("front_fender", HAND): own}
    for side in ("left", "right"):
        choice = PanelChoice(panel=f"front_fender_{side}")
        assert allowance_for(choice, shop=shop).hold_length_mm == 70.0


# --- in the shop


@pytest.fixture
def order(db, manager):
    film = make_film()
    make_roll(film, left_mm=40_000)
    car = make_vehicle(make="Alder", model="Comet", year=2021, body="sedan")
    return make_workorder(
        manager, booking=make_booking(manager, film=film, vehicle=car)
    )


def hood_blank(order):
    job = pull_job(order.film, [(order, panels_to_cut(order))])
    (hood,) = [panel.blank for panel in job.panels if panel.panel == "hood"]
    return hood


def add(**changed):
    facts = {"make": "alder", "model": "comet", "body": "sedan", "panel": "hood"}
    facts |= {"length_mm": 1100, "width_mm": 1500, "year_from": 2019, "year_to": 2022}
    return MeasuredPanel.objects.create(**{**facts, **changed})


def test_the_blank_says_which_cars_its_size_was_measured_on(order):
    add()
    blank = hood_blank(order)
    assert blank.length_mm.value == 1100 + 2 * (10 + 60)
    assert str(blank.basis) == "hood: measured on alder comet 2019 to 2022."


def test_a_size_of_other_years_leaves_the_template(order):
    add(year_from=2023, year_to=None)
    assert "template for" in str(hood_blank(order).basis)


def test_measured_sizes_of_many_cars_cost_one_query(order, django_assert_num_queries):
    add()
    cars = [car_of(order.vehicle), COMET, Car(**{**asdict(COMET), "year": 2018})]
    with django_assert_num_queries(1):
        found = measured_on_all(cars)
    assert [found[car].get("hood") is not None for car in cars] == [True, True, False]


def allow(client, **changed):
    data = {"key": "a" * 16, "kind": "hood", "method": "hand_fitted"}
    data |= {"hold_length_mm": "75", "hold_width_mm": "50"}
    return client.post(reverse("jobs:panel_allowance"), {**data, **changed})


def test_a_manager_sets_the_margin_of_a_panel_and_the_next_blank_has_it(
    client, order, manager
):
    before = hood_blank(order)
    client.force_login(manager)
    assert allow(client).status_code == 303
    after = hood_blank(order)
    assert after.length_mm.value == before.length_mm.value + 2 * (75 - 60)
    assert after.width_mm.value == before.width_mm.value + 2 * (50 - 60)
    page = client.get(reverse("jobs:panel_sizes")).content.decode()
    assert "75 mm × 50 mm" in page


def test_an_empty_margin_goes_back_to_what_holds_for_every_panel(
    client, order, manager
):
    client.force_login(manager)
    allow(client)
    allow(client, key="b" * 16, hold_length_mm="", hold_width_mm="")
    assert PanelAllowance.objects.count() == 2
    assert allowance_of("hood", method=HAND, shop=allowances()) == USUAL[HAND]


def test_a_margin_beyond_reason_gets_a_sentence_and_stays_typed(client, order, manager):
    client.force_login(manager)
    response = allow(client, hold_length_mm="750")
    page = response.content.decode()
    assert response.status_code == 422
    assert "Enter 0 to 200 mm." in page
    assert 'value="750"' in page
    assert not PanelAllowance.objects.exists()


def test_an_installer_does_not_set_margins(client, order):
    client.force_login(make_person("installer", username="sam"))
    assert allow(client).status_code == 403


def measure(client, order, **changed):
    hood = order.panels.get(panel="hood")
    data = {"key": "m" * 16, "length_mm": "1100", "width_mm": "1500"}
    url = reverse("jobs:panel_measure", args=[order.pk, hood.pk])
    return client.post(url, {**data, **changed})


def test_saved_as_measured_holds_for_the_years_given(client, order, manager):
    client.force_login(manager)
    assert measure(client, order, year_from="2019", year_to="2023").status_code == 303
    row = MeasuredPanel.objects.get()
    assert (row.year_from, row.year_to) == (2019, 2023)
    assert (row.make, row.model, row.body) == ("Alder", "Comet", "sedan")


def test_saved_as_measured_without_years_holds_for_this_cars_year(
    client, order, manager
):
    client.force_login(manager)
    measure(client, order)
    row = MeasuredPanel.objects.get()
    assert (row.year_from, row.year_to) == (2021, 2021)


def test_years_that_leave_this_car_out_are_refused_at_the_field(client, order, manager):
    client.force_login(manager)
    response = measure(client, order, year_from="2022", year_to="2024")
    assert response.status_code == 422
    assert "This car is of 2021; the years must hold it." in response.content.decode()
    assert not MeasuredPanel.objects.exists()


def test_margins_are_typed_and_shown_in_the_shops_inches(client, order, manager):
    Shop.objects.update(units="us")
    client.force_login(manager)
    assert allow(client, hold_length_mm="2.5", hold_width_mm="2").status_code == 303
    kept = allowance_of("hood", method=HAND, shop=allowances())
    assert kept.hold_length_mm == pytest.approx(2.5 * 25.4, abs=0.5)
    page = client.get(reverse("jobs:panel_sizes")).content.decode()
    assert "2.5 in × 2 in" in page
    refused = allow(client, key="b" * 16, hold_length_mm="60").content.decode()
    assert 'value="60"' in refused
    assert "7.9 in." in refused
