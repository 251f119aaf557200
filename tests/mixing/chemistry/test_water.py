"""Water: published bands, unit definitions, residue and advice."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mixing.chemistry.water import (
    hardness_class,
    hardness_mg_per_l,
    residue_mg_per_m2,
    solids_class,
    water_advice,
    water_density_g_per_ml,
)
from tests.cases import rows


@pytest.mark.parametrize("case", rows("hardness"), ids=str)
def test_hardness_bands_are_those_published(case):
    assert hardness_class(hardness_mg_per_l=float(case["mg_per_l"])) == case["class"]


@pytest.mark.parametrize(
    ("tds_mg_per_l", "expected"),
    [
        (299, "excellent"),
        (300, "good"),
        (600, "fair"),
        (900, "poor"),
        (1200, "unacceptable"),
    ],
)
def test_solids_classes_are_those_of_the_who(tds_mg_per_l, expected):
    # WHO background document on TDS in drinking-water (1996).
    assert solids_class(tds_mg_per_l=tds_mg_per_l) == expected


@pytest.mark.parametrize(
    ("unit", "mg_per_l", "near"),
    [
        # 1 grain per US gallon = 17.1 mg/L: USGS and NIST Handbook 44 grain and gallon.
        ("gpg", 17.1, 0.05),
        # German degree 17.8 mg/L, French degree 10 mg/L: common handbook values.
        ("dH", 17.8, 0.06),
        ("fH", 10, 0),
        ("mmol/L", 100.09, 0.01),
        ("mg/L", 1, 0),
    ],
)
def test_hardness_units_of_test_strips(unit, mg_per_l, near):
    assert hardness_mg_per_l(value=1, unit=unit) == pytest.approx(mg_per_l, abs=near)


def test_unknown_hardness_unit_is_refused():
    with pytest.raises(ValueError, match="Hardness is read in mg/L, gpg"):
        hardness_mg_per_l(value=1, unit="Clark")


def test_water_density_agrees_with_the_handbook():
    # CRC Handbook 102nd ed.: 0.9982 g/mL at 20 °C; 0.99565 at 30 °C (Tanaka table).
    assert water_density_g_per_ml(temp_c=20) == pytest.approx(0.9982, abs=0.00002)
    assert water_density_g_per_ml(temp_c=30) == pytest.approx(0.99565, abs=0.00002)


def test_water_is_densest_at_four_degrees():
    assert water_density_g_per_ml(temp_c=4) > water_density_g_per_ml(temp_c=2)
    assert water_density_g_per_ml(temp_c=4) > water_density_g_per_ml(temp_c=6)


def test_residue_of_a_wet_layer():
    # 1 L over 10 m² is 100 µm: 500 mg in it leave 50 mg/m².
    assert residue_mg_per_m2(tds_mg_per_l=500, layer_um=100) == pytest.approx(50)


@given(st.floats(0, 5000), st.floats(0, 500), st.floats(0, 100))
def test_less_water_never_leaves_more(tds, layer_um, water_pct):
    whole = residue_mg_per_m2(tds_mg_per_l=tds, layer_um=layer_um)
    part = residue_mg_per_m2(tds_mg_per_l=tds, layer_um=layer_um, water_pct=water_pct)
    assert 0 <= part <= whole


def test_distilled_water_needs_no_advice():
    assert water_advice(origin="distilled") == ()


def test_untested_tap_water_is_asked_about():
    (told,) = water_advice(origin="tap")
    assert str(told) == (
        "Tap water without a test: test it once, or use distilled water."
    )


def test_good_tap_water_is_left_alone():
    assert water_advice(origin="tap", tds_mg_per_l=150, hardness_mg_per_l=60) == ()


def test_hard_and_salty_water_is_named_with_its_class():
    told = [
        str(each)
        for each in water_advice(origin="tap", tds_mg_per_l=650, hardness_mg_per_l=200)
    ]
    assert "650 mg_per_l of dissolved solids (fair as drinking water)" in told[0]
    assert "The water is very hard (200 mg_per_l)" in told[1]


@pytest.mark.parametrize("bad", [-1.0, math.nan])
def test_impossible_test_result_is_refused(bad):
    with pytest.raises(ValueError, match="Dissolved solids must be 0 mg/L or more"):
        water_advice(origin="tap", tds_mg_per_l=bad)


def test_water_of_unknown_origin_is_refused():
    with pytest.raises(ValueError, match="Say where the water comes from"):
        water_advice(origin="")
