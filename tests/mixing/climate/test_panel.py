"""Sweating panels and the warm-up timer."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mixing.climate.air import dew_point_c
from mixing.climate.panel import (
    SKINS,
    SURFACE_W_PER_M2_K,
    measure_again_min,
    minutes_to_reach,
    time_constant_min,
    warm_up,
)
from mixing.sheet.advice import climate_of
from mixing.sheet.request import Conditions


@pytest.mark.parametrize(
    ("panel_c", "said"),
    [(10, "is below the dew point"), (13, "edges dry slowly"), (15, "")],
)
def test_panel_is_judged_by_its_margin_to_the_dew_point(panel_c, said):
    # 22 °C, 50 %: dew point 11.1 °C; warned within 3 °C (ISO 8502-4, by secondary
    # sources, borrowed from painting).
    told = climate_of(Conditions(panel_c=panel_c, air_c=22, rh_pct=50)).says
    assert bool(told) == bool(said)
    assert said in " ".join(map(str, told))


def test_sweating_panel_says_what_to_do():
    told = climate_of(Conditions(panel_c=10, air_c=22, rh_pct=50)).says
    assert "edges will not dry. Warm the car" in str(told[0])


def test_dry_panel_says_nothing():
    assert climate_of(Conditions(panel_c=22, air_c=22, rh_pct=50)).says == ()


def test_bone_dry_air_wets_nothing():
    found = climate_of(Conditions(panel_c=-5, air_c=22, rh_pct=0))
    assert (found.says, found.dew_point) == ((), None)


@given(st.floats(0, 40), st.floats(5, 35), st.floats(5, 100))
def test_margin_is_panel_less_dew_point(panel_c, air_c, rh_pct):
    found = climate_of(Conditions(panel_c=panel_c, air_c=air_c, rh_pct=rh_pct))
    assert found.margin.value == pytest.approx(
        panel_c - dew_point_c(air_c=air_c, rh_pct=rh_pct)
    )


def test_time_constant_agrees_with_a_published_example():
    # Lumped steel ball of 20 mm, h 1000 W/m²K, rho 7800, c 500: tau = rho c d / (6 h)
    # = 13 s (public heat-transfer course). A plate heated from both sides has
    # rho c d / (2 h): the same law with another length, so scale it.
    plate_s = 60 * time_constant_min(skin="steel", thickness_mm=20)
    ball_s = plate_s * (7800 * 500) / (7850 * 470) * SURFACE_W_PER_M2_K / 1000 * 2 / 6
    assert ball_s == pytest.approx(13, abs=0.05)


@pytest.mark.parametrize(
    ("skin", "thickness_mm", "both_s"),
    [("steel", 0.7, 168), ("steel", 0.8, 192), ("aluminium", 1.0, 158)],
)
def test_time_constant_of_body_skins(skin, thickness_mm, both_s):
    # rho c d / (2 x 7.7) by hand: 7850 x 470, 2700 x 900.
    found = time_constant_min(skin=skin, thickness_mm=thickness_mm)
    assert found * 60 == pytest.approx(both_s, abs=1)


def test_sun_hot_panel_cools_in_seven_to_thirteen_minutes():
    # tau ln(40 / 5) = 2.08 tau, tau 192 and 383 s.
    found = warm_up(panel_c=60, bay_c=20, target_c=25)
    assert found.earliest_min == pytest.approx(6.7, abs=0.1)
    assert found.latest_min == pytest.approx(13.3, abs=0.1)
    assert "Measure the panel again in 14 min" in str(found.says[0])


def test_panel_that_is_there_already_needs_no_timer():
    found = warm_up(panel_c=21, bay_c=20, target_c=25)
    assert (found.latest_min, found.says) == (0, ())


def test_cold_car_reaches_no_more_than_the_bay():
    with pytest.raises(ValueError, match="never brings the panel to 25 °C"):
        warm_up(panel_c=5, bay_c=20, target_c=25)


@given(st.floats(-10, 70), st.floats(10, 30), st.floats(0.05, 0.9))
def test_skin_is_at_its_target_after_the_minutes_given(panel_c, bay_c, part):
    from_bay = panel_c - bay_c
    if abs(from_bay) < 0.1:
        return
    tau = 3.2
    minutes = minutes_to_reach(
        panel_c=panel_c,
        bay_c=bay_c,
        target_c=bay_c + from_bay * part,
        time_constant_min=tau,
    )
    # The balance dT/dt = -(T - T_bay) / tau in small steps, no logarithm.
    left = from_bay
    for _ in range(2000):
        left -= left * minutes / 2000 / tau
    assert left == pytest.approx(from_bay * part, rel=0.01)


def test_unknown_skin_is_refused():
    with pytest.raises(ValueError, match="The skin must be one of steel, aluminium"):
        time_constant_min(skin="glass")
    with pytest.raises(ValueError, match="one side of a skin or both"):
        time_constant_min(skin="steel", faces=3)


def test_a_cold_panel_is_measured_again_when_its_slowest_skin_has_come_near():
    # By hand: plastic tau on one face from data/panel_skins.csv, ln(17 / 2).
    tau = max(time_constant_min(skin=skin, faces=1) for skin in SKINS)
    again = measure_again_min(panel_c=5, bay_c=22)
    assert again == pytest.approx(tau * math.log(17 / 2))


def test_a_panel_near_the_bay_is_not_measured_again():
    assert measure_again_min(panel_c=19, bay_c=22) == 0
    assert measure_again_min(panel_c=26, bay_c=22) == 0


@given(bay=st.floats(0, 35), away=st.floats(4.1, 20), more=st.floats(0, 19))
def test_the_further_a_panel_is_from_the_bay_the_longer_it_waits(bay, away, more):
    for sign in (1, -1):
        near = measure_again_min(panel_c=bay + sign * away, bay_c=bay)
        far = measure_again_min(panel_c=bay + sign * (away + more), bay_c=bay)
        assert 0 < near <= far + 1e-9
