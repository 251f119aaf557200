"""Stock, vessels, batches and readings: each refusal and when it is silent."""

from datetime import UTC, date, datetime, timedelta

import pytest

from jobs.rules.stock import (
    batch_foreign,
    batch_stale,
    film_short,
    reading_wanted,
    stock_short,
    taken_odd,
    vessel_not_clean,
    vessel_wrong_kind,
)
from jobs.rules.table import Level, Rule, change_or_drop, enforced_levels
from shopapp.figures import given

NOON = datetime(2026, 3, 2, 12, tzinfo=UTC)
TODAY = date(2026, 3, 2)


def metres(value):
    return given(value, "m", "count")


def test_more_film_than_the_roll_holds_cannot_be_pulled():
    concern = stock_short(name="Roll R7", there=metres(5.0), wanted=metres(5.8))
    assert concern is not None
    assert concern.level is Level.HARD
    assert str(concern.sentence) == ("Roll R7 holds only 5 m; 5.8 m cannot be taken.")


def test_the_last_metre_may_be_pulled():
    assert not stock_short(name="Roll R7", there=metres(5.0), wanted=metres(5.0))


def test_taking_a_negative_amount_is_an_error():
    with pytest.raises(ValueError, match="negative"):
        stock_short(name="Roll R7", there=metres(5.0), wanted=metres(-1.0))


def test_amounts_in_different_units_are_not_compared():
    with pytest.raises(ValueError, match="units differ"):
        stock_short(name="C4", there=metres(5.0), wanted=given(1, "ml", "mix"))


def test_a_vessel_refuses_another_kind_of_solution():
    concern = vessel_wrong_kind(vessel="V3", vessel_kind="slip", solution="tack")
    assert concern is not None
    assert concern.rule is Rule.VESSEL_KIND
    assert not vessel_wrong_kind(vessel="V3", vessel_kind="slip", solution="slip")


def test_an_unrinsed_vessel_is_not_filled():
    concern = vessel_not_clean(vessel="V3", is_clean=False)
    assert concern is not None
    assert concern.level is Level.HARD
    assert not vessel_not_clean(vessel="V3", is_clean=True)


@pytest.mark.parametrize(
    ("use_until", "is_emptied", "stale"),
    [
        (NOON + timedelta(hours=1), False, False),
        (NOON, False, False),
        (NOON - timedelta(minutes=1), False, True),
        (NOON + timedelta(hours=1), True, True),
        (None, False, False),
    ],
)
def test_a_batch_is_stale_after_its_time_or_once_emptied(use_until, is_emptied, stale):
    concern = batch_stale(
        batch="B12", use_until=use_until, is_emptied=is_emptied, now=NOON
    )
    assert bool(concern) is stale


def test_a_batch_serves_only_the_orders_it_was_mixed_for():
    assert not batch_foreign(batch="B12", mixed_for={"17", "18"}, order="17")
    concern = batch_foreign(batch="B12", mixed_for={"18"}, order="17")
    assert concern is not None
    assert concern.level is Level.HARD


def test_a_film_shortage_is_advice_and_says_both_lengths():
    concern = film_short(
        film="film A", there=metres(4.0), wanted=metres(5.8), levels=enforced_levels()
    )
    assert concern is not None
    assert concern.level is Level.ADVICE
    assert str(concern.sentence) == (
        "film A: 5.8 m is needed and only 4 m is free; order some."
    )


@pytest.mark.parametrize(
    ("read_on", "read_panel_c", "panel_c", "wanted"),
    [
        (None, None, None, True),
        (TODAY - timedelta(1), 20.0, 20.0, True),
        (TODAY, 20.0, None, False),
        (TODAY, 20.0, 23.9, False),
        (TODAY, 20.0, 24.0, True),
        (TODAY, 20.0, 16.0, True),
    ],
)
def test_a_reading_is_asked_for_once_a_day_and_when_the_panel_moved(
    read_on, read_panel_c, panel_c, wanted
):
    concern = reading_wanted(
        today=TODAY,
        read_on=read_on,
        read_panel_c=read_panel_c,
        panel_c=panel_c,
        levels={},
    )
    assert bool(concern) is wanted


def test_a_rule_overridden_on_more_than_a_tenth_is_up_for_change():
    assert change_or_drop(Rule.FINAL_LOOK, overridden=10, orders=100) is None
    assert change_or_drop(Rule.FINAL_LOOK, overridden=0, orders=0) is None
    said = change_or_drop(Rule.FINAL_LOOK, overridden=11, orders=100)
    assert str(said).endswith("change it or drop it.")


@pytest.mark.parametrize(
    ("taken_mm", "is_odd"),
    [
        (4720, False),
        (4500, False),
        (4400, True),
        (5900, False),
        (5901, True),
        (5, True),
    ],
)
def test_film_taken_far_from_the_plan_is_asked_about(taken_mm, is_odd):
    odd = taken_odd(
        roll="R1",
        taken=given(taken_mm, "mm", "entered"),
        planned=given(4720, "mm", "plan"),
    )
    assert (odd is not None) is is_odd


def test_a_small_pull_may_differ_by_a_hand():
    args = {"roll": "R1", "planned": given(200, "mm", "plan")}
    assert taken_odd(taken=given(300, "mm", "entered"), **args) is None
    assert taken_odd(taken=given(301, "mm", "entered"), **args)
