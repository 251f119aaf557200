"""Moist air against ASHRAE values, printed charts and an own reckoning."""

from __future__ import annotations

import math

import psychrolib
import pytest
from hypothesis import given
from hypothesis import strategies as st

from mixing.climate.air import (
    dew_point_c,
    dry_air_density_kg_per_m3,
    humidity_ratio,
    saturation_pressure_pa,
    standard_pressure_pa,
    vapour_pressure_pa,
    wet_bulb_c,
)
from tests.cases import rows

bay_c = st.floats(5, 40)
rh = st.floats(5, 100)


def psychrometric_value(case: dict[str, str]) -> float:
    quantity = case["quantity"]
    if quantity == "saturation_pressure":
        return saturation_pressure_pa(air_c=float(case["air_c"]))
    if quantity == "standard_pressure":
        return standard_pressure_pa(altitude_m=float(case["altitude_m"]))
    air_c, pressure_pa = float(case["air_c"]), float(case["pressure_pa"])
    if quantity == "saturation_ratio":
        return humidity_ratio(air_c=air_c, rh_pct=100, pressure_pa=pressure_pa)
    assert quantity == "wet_bulb_ratio"
    # The humidity whose wet bulb is the case's, by halving.
    low, high = 0.0, 100.0
    for _ in range(60):
        middle = (low + high) / 2
        found = wet_bulb_c(air_c=air_c, rh_pct=middle, pressure_pa=pressure_pa)
        low, high = (
            (middle, high) if found < float(case["wet_bulb_c"]) else (low, middle)
        )
    return humidity_ratio(air_c=air_c, rh_pct=high, pressure_pa=pressure_pa)


@pytest.mark.parametrize("case", rows("psychrometrics"), ids=str)
def test_moist_air_agrees_with_ashrae(case):
    assert psychrometric_value(case) == pytest.approx(
        float(case["expected"]), rel=float(case["rel_tolerance"])
    )


@pytest.mark.parametrize("case", rows("dew_points"), ids=str)
def test_dew_point_agrees_with_printed_charts(case):
    found = dew_point_c(air_c=float(case["air_c"]), rh_pct=float(case["rh_pct"]))
    assert found == pytest.approx(
        float(case["dew_point_c"]), abs=float(case["tolerance"])
    )


@given(bay_c, st.floats(20, 95))
def test_dew_point_agrees_with_the_short_formula(air_c, rh_pct):
    # Magnus form 17.27, 237.7, stated accuracy 0.4 °C (public dew-point page); it holds
    # over water only.
    gamma = 17.27 * air_c / (237.7 + air_c) + math.log(rh_pct / 100)
    short = 237.7 * gamma / (17.27 - gamma)
    if short > 0:
        assert dew_point_c(air_c=air_c, rh_pct=rh_pct) == pytest.approx(short, abs=0.1)


@given(bay_c, rh)
def test_wet_bulb_agrees_with_an_own_heat_balance(air_c, rh_pct):
    # ASHRAE 2017 ch. 1 equation 33, halved by hand, over water only.
    water = humidity_ratio(air_c=air_c, rh_pct=rh_pct)
    low, high = -20.0, air_c
    for _ in range(60):
        middle = (low + high) / 2
        held = humidity_ratio(air_c=middle, rh_pct=100)
        balance = (2501 - 2.326 * middle) * held - 1.006 * (air_c - middle)
        if balance / (2501 + 1.86 * air_c - 4.186 * middle) > water:
            high = middle
        else:
            low = middle
    if low > 1:  # nearer to freezing psychrolib passes to the balance over ice
        assert wet_bulb_c(air_c=air_c, rh_pct=rh_pct) == pytest.approx(low, abs=0.01)


@given(bay_c, rh)
def test_dew_point_lies_below_wet_bulb_below_air(air_c, rh_pct):
    dew = dew_point_c(air_c=air_c, rh_pct=rh_pct)
    wet = wet_bulb_c(air_c=air_c, rh_pct=rh_pct)
    assert dew <= wet + 0.01
    assert wet <= air_c + 0.01


@given(bay_c, rh)
def test_dew_point_gives_the_humidity_back(air_c, rh_pct):
    dew = dew_point_c(air_c=air_c, rh_pct=rh_pct)
    held = saturation_pressure_pa(air_c=dew) / saturation_pressure_pa(air_c=air_c)
    assert 100 * held == pytest.approx(rh_pct, abs=0.01)


@given(bay_c, st.floats(5, 95), st.floats(0.1, 5))
def test_moister_air_has_a_higher_dew_point(air_c, rh_pct, more):
    assert dew_point_c(air_c=air_c, rh_pct=rh_pct + more) > dew_point_c(
        air_c=air_c, rh_pct=rh_pct
    )


@given(bay_c, rh)
def test_vapour_and_dry_air_make_up_the_pressure(air_c, rh_pct):
    # Dalton: the density of dry air times R T plus the vapour is 1 atm.
    dry_pa = 287.042 * (air_c + 273.15)
    dry_pa *= dry_air_density_kg_per_m3(air_c=air_c, rh_pct=rh_pct)
    assert dry_pa + vapour_pressure_pa(air_c=air_c, rh_pct=rh_pct) == pytest.approx(
        101_325
    )


def test_saturated_air_is_at_its_dew_point():
    assert dew_point_c(air_c=21.5, rh_pct=100) == 21.5


def test_impossible_humidity_is_refused_in_plain_words():
    with pytest.raises(
        ValueError, match=r"The humidity must be from 0 to 100 %, not 14"
    ):
        dew_point_c(air_c=20, rh_pct=140)
    with pytest.raises(ValueError, match="The humidity must be from 0 to 100 %"):
        wet_bulb_c(air_c=20, rh_pct=-1)


def test_bone_dry_air_has_no_dew_point_but_a_wet_bulb():
    with pytest.raises(ValueError, match="no dew point"):
        dew_point_c(air_c=20, rh_pct=0)
    assert humidity_ratio(air_c=20, rh_pct=0) == 0
    assert wet_bulb_c(air_c=20, rh_pct=0) < 10


def test_absent_reading_is_refused():
    with pytest.raises(ValueError, match="not empty"):
        humidity_ratio(air_c=math.nan, rh_pct=50)


def test_library_stays_in_metric_units():
    assert psychrolib.GetUnitSystem() is psychrolib.SI
