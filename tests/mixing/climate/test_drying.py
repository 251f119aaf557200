"""Evaporation and open time: worked examples, and what must always hold."""

from __future__ import annotations

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from mixing.climate.air import humidity_ratio, saturation_pressure_pa
from mixing.climate.alcohol_share import drying_time_ratio
from mixing.climate.drying import (
    MODELS,
    Patch,
    evaporation_kg_per_m2_h,
    open_time,
    reference_minutes,
)
from mixing.climate.surface import film_temperature_c, vapour_kg_per_m3
from tests.cases import rows

air = st.fixed_dictionaries(
    {
        "air_c": st.floats(10, 38),
        "rh_pct": st.floats(5, 75),
        "air_m_per_s": st.floats(0, 1),
    }
)


def humidity_that_leaves(pull: float, *, water_c: float, air_c: float) -> float:
    """RH of a room that holds `pull` kg/kg less than air saturated at the water."""
    held = humidity_ratio(air_c=water_c, rh_pct=100) - pull
    vapour_pa = 101_325 * held / (0.621945 + held)
    return 100 * vapour_pa / saturation_pressure_pa(air_c=air_c)


@pytest.mark.parametrize("case", rows("evaporation"), ids=str)
def test_evaporation_agrees_with_worked_examples(case):
    if case["pull"]:
        water_c = air_c = 30.0
        rh_pct = humidity_that_leaves(float(case["pull"]), water_c=30, air_c=30)
    else:
        water_c, air_c = float(case["water_c"]), float(case["air_c"])
        rh_pct = float(case["rh_pct"])
    found = evaporation_kg_per_m2_h(
        water_c=water_c,
        air_c=air_c,
        rh_pct=rh_pct,
        air_m_per_s=float(case["air_m_per_s"]),
        model=case["model"],
    )
    assert found == pytest.approx(
        float(case["expected_kg_per_m2_h"]), rel=float(case["rel_tolerance"])
    )


def test_pool_form_agrees_with_its_imperial_original():
    # ASHRAE Transactions 104 (1998) 4146: W = (95 + 0.425 v)(p_w - p_a) / Y, lb/h ft²,
    # ft/min, inHg, Btu/lb; water and air 28 °C (82.4 °F), 50 %, 0.25 m/s.
    pull_in_hg = saturation_pressure_pa(air_c=28) * 0.5 / 3386.389
    latent_btu_per_lb = 2434.6 / 2.326  # steam tables, 28 °C
    lb_per_h_ft2 = (95 + 0.425 * 0.25 * 196.8504) * pull_in_hg / latent_btu_per_lb
    found = evaporation_kg_per_m2_h(
        water_c=28, air_c=28, rh_pct=50, air_m_per_s=0.25, model="pool"
    )
    assert found == pytest.approx(lb_per_h_ft2 * 0.45359237 / 0.09290304, rel=0.002)


def test_vapour_in_air_gives_the_textbook_transfer_coefficient():
    # Lake problem of a heat-transfer textbook (6.52): air and water 27 °C, 30 %,
    # 0.10 kg/m²h; h_m = 1.54e-3 m/s follows from the vapour in the air alone.
    pull = vapour_kg_per_m3(air_c=27, rh_pct=100) - vapour_kg_per_m3(
        air_c=27, rh_pct=30
    )
    assert 0.10 / 3600 / pull == pytest.approx(1.54e-3, rel=0.01)


def test_plate_without_wind_lies_between_still_water_and_half_of_it():
    # Same physics by two correlations, upright plate against pool: they agree within
    # a factor of 2.
    state = {"water_c": 25, "air_c": 25, "rh_pct": 50, "air_m_per_s": 0}
    plate = evaporation_kg_per_m2_h(**state, model="plate")
    still = evaporation_kg_per_m2_h(**state, model="still")
    assert still / 2 < plate < still


def test_measured_spill_of_a_one_to_one_mix_is_met_within_a_factor_of_two():
    # US NLM HSDB: 1.5 kg/m²h, 1:1 isopropanol and water, pool 20 °C, air 22 °C,
    # 4.5 m/s. Humidity is not given; 50 % taken. Fast formula at that wind.
    water = evaporation_kg_per_m2_h(
        water_c=20, air_c=22, rh_pct=50, air_m_per_s=4.5, model="plate"
    )
    found = water / drying_time_ratio(
        vv_pct=50, liquid_c=20, air_c=22, rh_pct=50, usable_pct=1
    )
    assert 0.75 < found < 3.0


def test_unknown_formula_is_refused():
    with pytest.raises(ValueError, match="must be one of engineering, pool, still"):
        evaporation_kg_per_m2_h(
            water_c=20, air_c=20, rh_pct=50, air_m_per_s=0, model="guess"
        )


@pytest.mark.parametrize("model", MODELS)
def test_condensing_surface_loses_nothing(model):
    assert (
        evaporation_kg_per_m2_h(
            water_c=10, air_c=25, rh_pct=70, air_m_per_s=0.2, model=model
        )
        == 0
    )


@pytest.mark.parametrize("model", MODELS)
@given(state=air)
def test_drier_air_never_dries_more_slowly(model, state):
    def rate(rh_pct: float) -> float:
        return evaporation_kg_per_m2_h(
            water_c=state["air_c"],
            air_c=state["air_c"],
            rh_pct=rh_pct,
            air_m_per_s=state["air_m_per_s"],
            model=model,
        )

    assert rate(state["rh_pct"]) >= rate(state["rh_pct"] + 5)


@pytest.mark.parametrize("model", MODELS)
@given(state=air)
def test_wind_never_slows_drying(model, state):
    calm = evaporation_kg_per_m2_h(water_c=state["air_c"], **state, model=model)
    windy = evaporation_kg_per_m2_h(
        water_c=state["air_c"],
        air_c=state["air_c"],
        rh_pct=state["rh_pct"],
        air_m_per_s=state["air_m_per_s"] + 0.5,
        model=model,
    )
    assert windy >= calm


@given(air)
def test_drying_film_is_cooler_than_its_surroundings(state):
    film = film_temperature_c(panel_c=state["air_c"], **state)
    assert film <= state["air_c"]


def test_reference_air_has_index_one():
    found = open_time(air_c=20, rh_pct=50)
    assert (found.index, found.index_low, found.index_high) == (1, 1, 1)


@given(air, st.floats(0, 8))
def test_warmer_panel_never_gives_more_time(state, warmer):
    cool = open_time(**state, panel_c=state["air_c"])
    warm = open_time(**state, panel_c=state["air_c"] + warmer)
    assert warm.index <= cool.index + 1e-9
    assert warm.slow_min <= cool.slow_min + 1e-9


@given(air, st.floats(1, 60))
def test_alcohol_never_gives_more_time(state, vv_pct):
    plain, mixed = open_time(**state), open_time(**state, vv_pct=vv_pct)
    assert mixed.central_min <= plain.central_min


@given(air)
def test_range_holds_the_central_value(state):
    found = open_time(**state)
    assert 0 < found.fast_min <= found.central_min <= found.slow_min
    assert found.index_low <= found.index <= found.index_high


@given(air)
def test_formulas_agree_on_the_index_far_better_than_on_minutes(state):
    found = open_time(**state)
    spread = found.slow_min / found.fast_min
    assert found.index_high / found.index_low < spread


@given(air, st.floats(25, 200))
def test_minutes_grow_in_step_with_the_wet_layer(state, layer_um):
    thin = open_time(**state, layer_um=layer_um)
    thick = open_time(**state, layer_um=2 * layer_um)
    assert thick.central_min == pytest.approx(2 * thin.central_min)


def test_cold_panel_does_not_dry_and_says_so():
    found = open_time(air_c=22, rh_pct=60, panel_c=8)
    assert not found.dries
    assert found.figure is None
    assert found.central_min is None
    assert "does not dry" in str(found.says[0])


def test_saturated_air_does_not_dry():
    assert not open_time(air_c=22, rh_pct=100).dries


def test_shop_patch_gives_its_own_minutes_in_its_own_air():
    patch = Patch(minutes=14, air_c=27, rh_pct=40, panel_c=30)
    found = open_time(air_c=27, rh_pct=40, panel_c=30, patch=patch)
    assert found.calibrated
    assert found.fast_min == pytest.approx(14)
    assert found.slow_min == pytest.approx(14)


@given(air, st.floats(3, 60))
def test_patch_scales_minutes_by_the_index(state, minutes):
    patch = Patch(minutes=minutes, air_c=20, rh_pct=50, panel_c=20)
    found = open_time(**state, patch=patch)
    assert reference_minutes(patch=patch) == pytest.approx(minutes)
    assert found.central_min == pytest.approx(minutes * found.index)


def test_patch_in_condensing_air_is_refused():
    patch = Patch(minutes=14, air_c=25, rh_pct=90, panel_c=10)
    with pytest.raises(ValueError, match="repeat it on a warmer panel"):
        reference_minutes(patch=patch)


def test_figure_of_open_time_opens_to_its_inputs():
    figure = open_time(air_c=29, rh_pct=62, panel_c=31).figure
    assert dict(figure.inputs)["panel_c"] == 31
    assert figure.low < figure.value < figure.high


def test_mix_goes_watery_as_it_dries():
    early, late = (
        drying_time_ratio(
            vv_pct=20, liquid_c=22, air_c=22, rh_pct=50, usable_pct=usable_pct
        )
        for usable_pct in (5, 100)
    )
    assert early < late < 1


@given(st.floats(0, 95), st.floats(1, 5))
def test_stronger_mix_loses_more_at_first(vv_pct, more):
    assume(vv_pct + more <= 60)
    state = {"liquid_c": 22, "air_c": 22, "rh_pct": 50, "usable_pct": 1}
    assert drying_time_ratio(vv_pct=vv_pct + more, **state) < drying_time_ratio(
        vv_pct=vv_pct, **state
    )


@pytest.mark.parametrize(
    ("wrong", "sentence"),
    [
        ({"rh_pct": 140}, "The humidity must be from 0 to 100 %, not 140"),
        ({"air_c": 99}, "The air temperature must be from 0 to 60"),
        ({"panel_c": 200}, "The panel must be from 0 to 80"),
        ({"vv_pct": 120}, "The strength must be from 0 to 100"),
        ({"layer_um": 0}, "The wet layer must be above 0"),
        ({"usable_pct": 0}, "The usable share must be from 1 to 100"),
    ],
)
def test_impossible_reading_is_refused_in_plain_words(wrong, sentence):
    with pytest.raises(ValueError, match=sentence):
        open_time(**({"air_c": 20, "rh_pct": 50} | wrong))
