"""Recipes: the curve between its points, and what is refused."""

from __future__ import annotations

from dataclasses import replace

import pytest

from mixing.recipes.spec import (
    CurvePoint,
    SolutionKind,
    curve_from_text,
    curve_text,
    soap_from_curve_ml,
    trade_recipe,
    warmer_c,
)

SLIP = trade_recipe(SolutionKind.SLIP)
TACK = trade_recipe(SolutionKind.TACK)
ALL_IN_ONE = trade_recipe(SolutionKind.ALL_IN_ONE)


@pytest.mark.parametrize(
    ("warmer", "soap_ml"),
    # The trade's starting curve, common practice, no published source.
    [(5, 1.5), (15, 1.5), (20, 2), (22, 2), (24, 2), (28, 2.5), (32, 3), (35, 3.5)],
)
def test_the_soap_of_slip_follows_the_trades_curve(warmer, soap_ml):
    curve = curve_text(SLIP.soap_curve)
    assert soap_from_curve_ml(warmer_c=warmer, curve=curve) == soap_ml


def test_above_its_last_point_a_curve_stays_flat():
    assert soap_from_curve_ml(warmer_c=60, curve=curve_text(SLIP.soap_curve)) == 3.5


def test_the_soap_of_all_in_one_follows_the_same_factor():
    for slip, both in zip(SLIP.soap_curve, ALL_IN_ONE.soap_curve, strict=True):
        assert both.temp_c == slip.temp_c
        assert both.amount / 3.5 == pytest.approx(slip.amount / 2)


def test_the_tack_of_the_trade_is_seventeen_point_seven_made_up():
    # 0.70 x 240 / 950, common practice.
    assert pytest.approx(100 * 0.70 * 240 / 950) == TACK.vv_pct


def test_a_curve_survives_its_text():
    points = (CurvePoint(temp_c=-2.5, amount=0.1), CurvePoint(temp_c=30, amount=1 / 3))
    assert curve_from_text(curve_text(points)) == points


def test_the_colder_of_panel_and_air_never_counts():
    assert warmer_c(panel_c=12, air_c=25) == 25


@pytest.mark.parametrize(
    ("recipe", "wrong", "sentence"),
    [
        (SLIP, {"reference_ml": 0}, "reference bottle a volume above zero"),
        (SLIP, {"soap_ml": -1}, "Give the soap"),
        (SLIP, {"soap_ml": 2000}, "less than the bottle"),
        (SLIP, {"vv_pct": 10}, "Slip holds no alcohol"),
        (TACK, {"vv_pct": 140}, "up to 100 % by volume"),
        (TACK, {"soap_ml": 1}, "would ruin the vessel"),
        (SLIP, {"use_low_ml_per_m2": 0}, "from low to high"),
        (SLIP, {"use_low_ml_per_m2": 900}, "from low to high"),
        (SLIP, {"reserve_share": -0.1}, "reserve"),
        (SLIP, {"soap_tolerance_pct": 0}, "Tolerances"),
        (SLIP, {"soap_curve": SLIP.soap_curve[::-1]}, "points of the curve in order"),
        (SLIP, {"soap_curve": curve_from_text("20:-1")}, "amounts of this curve"),
        (SLIP, {"soap_curve": curve_from_text("200:1")}, "temperatures of a curve"),
    ],
)
def test_a_recipe_that_cannot_be_is_refused_in_a_sentence(recipe, wrong, sentence):
    with pytest.raises(ValueError, match=sentence):
        replace(recipe, **wrong)
