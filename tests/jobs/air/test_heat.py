"""Hot tools in a bay: one look-round a session, a timer after alcohol, never a gate."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import pytest

from jobs.air.heat import BayHeat, Heat, heat_line
from jobs.air.heat_queries import bay_heat, last_alcohol_at
from jobs.air.prep_actions import check_heat, use_prep
from jobs.models import HeatCheck, OrderPrepUse, WorkOrder
from jobs.solutions.actions import make_sheet
from mixing.models import Chemical
from shopapp.figures import given
from shopapp.frame import Refused, perform
from tests.makers import (
    NOW,
    make_bay,
    make_bench,
    make_booking,
    make_reading,
    make_tap,
    make_vehicle,
    make_workorder,
)

KEY = "k" * 16
KNOWN = BayHeat(
    now=NOW,
    session_began_at=NOW - timedelta(hours=5),
    alcohol_at=NOW - timedelta(minutes=10),
    checked_at=None,
    wait=given(30.0, "min", "safety block"),
)


def ago(minutes: float):
    return NOW - timedelta(minutes=minutes)


def test_soap_and_water_wait_for_nothing():
    line = heat_line(replace(KNOWN, alcohol_at=None, wait=None))
    assert line.heat is Heat.SOAP_ONLY
    assert line.until is None
    assert "may be warmed" in str(line.sentence)


def test_soap_and_water_are_asked_of_once_a_session():
    known = replace(KNOWN, alcohol_at=None)
    assert heat_line(known).ask
    assert not heat_line(replace(known, checked_at=ago(60))).ask
    assert heat_line(replace(known, checked_at=ago(60 * 7))).ask


def test_after_alcohol_a_timer_runs_to_the_wait_s_end():
    line = heat_line(KNOWN)
    assert line.heat is Heat.WAIT
    assert line.until == NOW + timedelta(minutes=20)


def test_once_the_wait_is_over_one_look_round_is_asked():
    known = replace(KNOWN, alcohol_at=ago(31))
    assert heat_line(known).heat is Heat.LOOK_ROUND
    looked = replace(known, checked_at=ago(5))
    assert heat_line(looked).heat is Heat.CLEAR
    assert not heat_line(looked).ask


def test_alcohol_after_a_look_round_asks_again():
    known = replace(KNOWN, alcohol_at=ago(31), checked_at=ago(40))
    assert heat_line(known).ask


def test_an_unknown_wait_is_never_clear():
    line = heat_line(replace(KNOWN, wait=None, checked_at=ago(1)))
    assert line.heat is Heat.UNKNOWN
    assert "NOT ASSESSED" in str(line.sentence)


def test_alcohol_of_two_days_ago_is_not_held_against_the_bay():
    assert heat_line(replace(KNOWN, alcohol_at=ago(60 * 49))).heat is Heat.SOAP_ONLY


@pytest.fixture
def wipe(db):
    return Chemical.objects.create(
        name="wipe", substance="wipe", strength_pct=50, strength_basis="vv"
    )


@pytest.fixture
def order(db):
    return make_workorder(bay=make_bay())


def wiped(order, by, wipe, *, at=NOW):
    tap = make_tap(by, at=at)
    perform(tap, use_prep, workorder_pk=order.pk, chemical=wipe, litres=0.2)


def test_a_wipe_in_prep_counts_as_alcohol_in_its_bay(order, installer, wipe):
    assert last_alcohol_at(order.bay, now=NOW) is None
    wiped(order, installer, wipe)
    assert last_alcohol_at(order.bay, now=NOW) == NOW


def test_what_a_car_left_in_the_air_stays_when_it_is_moved(order, installer, wipe):
    bay = order.bay
    wiped(order, installer, wipe)
    WorkOrder.objects.filter(pk=order.pk).update(bay=None)
    assert last_alcohol_at(bay, now=NOW) == NOW


def test_another_bay_has_nothing_of_it(order, installer, wipe):
    wiped(order, installer, wipe)
    assert last_alcohol_at(make_bay("Bay 2"), now=NOW) is None


def test_a_product_that_gives_off_nothing_is_no_alcohol(order, installer, wipe):
    wipe.volatile_pct = 0
    wipe.save()
    wiped(order, installer, wipe)
    assert last_alcohol_at(order.bay, now=NOW) is None


def test_a_look_round_is_of_the_bay_and_not_of_the_car(order, installer):
    perform(make_tap(installer), check_heat, workorder_pk=order.pk)
    WorkOrder.objects.filter(pk=order.pk).update(bay=None)
    other = make_workorder(booking=make_booking(vehicle=make_vehicle(plate="P 2")))
    other.bay = HeatCheck.objects.get().bay
    line = bay_heat(other, wait=None, now=NOW)
    assert line is not None
    assert not line.ask


def test_without_a_bay_there_is_nothing_to_look_round(db, installer):
    order = make_workorder()
    assert bay_heat(order, wait=None, now=NOW) is None
    with pytest.raises(Refused, match="in no bay"):
        perform(make_tap(installer), check_heat, workorder_pk=order.pk)


def test_a_look_round_pressed_twice_is_one_and_stands_in_the_history(
    client, order, installer
):
    client.force_login(installer)
    for _ in range(2):
        url = f"/workorders/{order.pk}/heat/check/"
        assert client.post(url, {"key": KEY}).status_code == 303
    assert HeatCheck.objects.count() == 1
    history = client.get(f"/workorders/{order.pk}/history/").content.decode()
    assert "Looked round Bay 1 before hot tools" in history


def test_the_desk_looks_round_no_bay(client, order, desk):
    client.force_login(desk)
    url = f"/workorders/{order.pk}/heat/check/"
    assert client.post(url, {"key": KEY}).status_code == 403


def test_a_prep_chemical_is_recorded_and_enters_the_block(
    client, order, installer, wipe
):
    client.force_login(installer)
    page = f"/workorders/{order.pk}/safety/"
    assert "the shop&#x27;s usual" in client.get(page).content.decode()
    url = f"/workorders/{order.pk}/prep/use/"
    facts = {"key": KEY, "chemical": wipe.pk, "volume_ml": "200"}
    assert client.post(url, facts).status_code == 303
    assert OrderPrepUse.objects.get().litres == 0.2
    assert "the shop&#x27;s usual" not in client.get(page).content.decode()


def test_none_is_an_answer_too(client, order, installer):
    client.force_login(installer)
    url = f"/workorders/{order.pk}/prep/none/"
    assert client.post(url, {"key": KEY}).status_code == 303
    page = client.get(f"/workorders/{order.pk}/safety/").content.decode()
    assert "none used" in page
    assert "Prep chemicals used, or none." not in page


@pytest.mark.parametrize("typed", ["-1", "9000", "much", "0"])
def test_an_amount_that_cannot_be_come_back_as_typed(
    client, order, installer, wipe, typed
):
    client.force_login(installer)
    url = f"/workorders/{order.pk}/prep/use/"
    answer = client.post(url, {"key": KEY, "chemical": wipe.pk, "volume_ml": typed})
    assert answer.status_code == 422
    assert f'value="{typed}"' in answer.content.decode()
    assert not OrderPrepUse.objects.exists()


def test_looked_round_leads_to_the_card_and_not_away_from_it(client, order, installer):
    client.force_login(installer)
    url = f"/workorders/{order.pk}/heat/check/"
    answer = client.post(url, {"key": KEY})
    assert answer["Location"] == f"/workorders/{order.pk}/heat/"
    card = client.post(url, {"key": "c" * 16}, headers={"HX-Request": "true"})
    page = client.get(card["Location"], headers={"HX-Request": "true"})
    assert b"Hot tools" in page.content
    assert b"<nav" not in page.content


def test_the_order_shows_labels_states_and_the_plot_with_its_units(
    client, order, installer, wipe
):
    make_bench(installer)
    make_reading(order, installer)
    perform(make_tap(installer), make_sheet, workorder_pk=order.pk)
    client.force_login(installer)
    page = client.get(f"/workorders/{order.pk}/safety/").content.decode()
    for shown in (
        "Pictogram: flame",
        "H226 Flammable liquid and vapor",
        "Protect yourself",
        "First aid",
        "NOT ASSESSED",
        "The manager enters it.",
    ):
        assert shown in page
