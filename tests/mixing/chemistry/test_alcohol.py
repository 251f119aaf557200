"""Isopropanol and water: against published tables, and what must always hold."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mixing.chemistry.alcohol import (
    blend,
    density_g_per_ml,
    make_up,
    mass_fraction,
    vv_pct,
)
from tests.cases import rows

strengths = st.floats(0, 100)
volumes = st.floats(0, 20_000)


def slow_mass_fraction(strength_pct: float) -> float:
    """w by a plain walk down the definition, no halving."""
    wanted = strength_pct / 100 * density_g_per_ml(mass_fraction=1)
    step, share = 0.1, 0.0
    while step > 1e-10:
        while (
            share + step <= 1
            and (share + step) * density_g_per_ml(mass_fraction=share + step) <= wanted
        ):
            share += step
        step /= 10
    return share


@pytest.mark.parametrize("case", rows("density"), ids=str)
def test_density_agrees_with_points_kept_aside(case):
    density = density_g_per_ml(
        mass_fraction=float(case["mass_pct"]) / 100, temp_c=float(case["temp_c"])
    )
    assert density == pytest.approx(
        float(case["density_g_per_ml"]), abs=float(case["tolerance"])
    )


@pytest.mark.parametrize("case", rows("strength"), ids=str)
def test_strength_agrees_with_pharmacopoeia_figures(case):
    share = mass_fraction(vv_pct=float(case["vv_pct"]))
    found = 100 * share
    if case["relation"] == "gravity":
        found = density_g_per_ml(mass_fraction=share) / 0.9982
    assert found == pytest.approx(float(case["expected"]), abs=float(case["tolerance"]))


@pytest.mark.parametrize("case", rows("mixes"), ids=str)
def test_blend_agrees_with_a_hand_balance(case):
    mix = blend(
        stock_ml=float(case["stock_ml"]),
        stock_vv_pct=float(case["stock_vv_pct"]),
        water_ml=float(case["water_ml"]),
    )
    near = {"rel": float(case["tolerance"])}
    assert mix.volume_ml == pytest.approx(float(case["volume_ml"]), **near)
    assert mix.vv_pct == pytest.approx(float(case["vv_pct"]), **near)
    assert mix.ww_pct == pytest.approx(float(case["ww_pct"]), **near)


def test_seventy_by_mass_is_seventy_six_by_volume():
    # The node at 65.22 % (Lebo 1921) and 74.35 %: 0.70 x 0.859 / 0.78556 = 0.765.
    assert vv_pct(mass_fraction=0.70) == pytest.approx(76.5, abs=0.1)


@pytest.mark.parametrize(
    ("stock_vv_pct", "stock_ml", "water_ml"),
    [(70, 240.0, 719.3), (91, 184.6, 778.9), (99, 169.7, 795.7)],
)
def test_made_up_bottle_of_any_stock_has_the_same_strength(
    stock_vv_pct, stock_ml, water_ml
):
    # 240 mL of 70 % in 950 mL: common practice. V' = V phi / phi' is exact; the water
    # by the hand balance of tests/cases/mixes.csv.
    strength = 240 * 70 / 950
    pour = make_up(volume_ml=950, vv_pct=strength, stock_vv_pct=stock_vv_pct)
    assert pour.stock_ml == pytest.approx(stock_ml, abs=0.05)
    assert pour.water_ml == pytest.approx(water_ml, abs=0.6)
    mix = blend(
        stock_ml=pour.stock_ml, stock_vv_pct=stock_vv_pct, water_ml=pour.water_ml
    )
    assert mix.volume_ml == pytest.approx(950)
    assert mix.vv_pct == pytest.approx(strength)


def test_added_water_shrinks_and_made_up_water_does_not():
    added = blend(stock_ml=240, stock_vv_pct=70, water_ml=710)
    filled = make_up(volume_ml=950, vv_pct=240 * 70 / 950, stock_vv_pct=70)
    assert added.volume_ml < 950
    assert filled.stock_ml + filled.water_ml > 950


def test_pure_stock_keeps_its_volume_and_strength():
    mix = blend(stock_ml=240, stock_vv_pct=70, water_ml=0)
    assert (mix.volume_ml, mix.vv_pct, mix.contraction_ml) == (240, 70, 0)


def test_water_alone_has_no_strength():
    mix = blend(stock_ml=0, stock_vv_pct=70, water_ml=710)
    assert (mix.volume_ml, mix.vv_pct, mix.ww_pct) == (710, 0, 0)


def test_stock_of_nought_per_cent_is_water():
    mix = blend(stock_ml=100, stock_vv_pct=0, water_ml=200)
    assert (mix.volume_ml, mix.vv_pct) == (300, 0)


def test_nothing_wanted_needs_nothing():
    pour = make_up(volume_ml=0, vv_pct=17, stock_vv_pct=70)
    assert (pour.stock_ml, pour.water_ml) == (0, 0)


def test_strength_of_the_stock_needs_no_water():
    pour = make_up(volume_ml=500, vv_pct=70, stock_vv_pct=70)
    assert (pour.stock_ml, pour.water_ml) == (500, 0)


def test_plain_water_needs_no_stock():
    pour = make_up(volume_ml=500, vv_pct=0, stock_vv_pct=0)
    assert (pour.stock_ml, pour.water_ml) == (0, 500)


@pytest.mark.parametrize("bad", [-1.0, 101.0, math.nan, math.inf])
def test_impossible_strength_is_refused_in_a_sentence(bad):
    with pytest.raises(ValueError, match=r"^The strength must be from 0 to 100 % v/v"):
        mass_fraction(vv_pct=bad)


@pytest.mark.parametrize("bad", [-0.01, 1.01, math.nan])
def test_impossible_mass_fraction_is_refused(bad):
    with pytest.raises(ValueError, match="The mass fraction must be from 0 to 1"):
        density_g_per_ml(mass_fraction=bad)


@pytest.mark.parametrize("bad", [-1.0, math.nan, math.inf])
def test_impossible_volume_is_refused(bad):
    with pytest.raises(ValueError, match="The volume must be 0 mL or more"):
        make_up(volume_ml=bad, vv_pct=10, stock_vv_pct=70)
    with pytest.raises(ValueError, match="The water poured must be 0 mL or more"):
        blend(stock_ml=1, stock_vv_pct=70, water_ml=bad)


def test_empty_vessel_is_refused():
    with pytest.raises(ValueError, match="Pour some stock or some water"):
        blend(stock_ml=0, stock_vv_pct=70, water_ml=0)


def test_stock_weaker_than_the_target_is_refused_with_a_remedy():
    with pytest.raises(ValueError, match="cannot make 70 % v/v: take a stronger stock"):
        make_up(volume_ml=950, vv_pct=70, stock_vv_pct=50)


def test_frozen_liquid_is_refused():
    with pytest.raises(ValueError, match="temperature of the liquid must be from 0"):
        density_g_per_ml(mass_fraction=0.5, temp_c=-5)


@given(strengths)
def test_volume_and_mass_strength_turn_into_each_other(strength):
    assert vv_pct(mass_fraction=mass_fraction(vv_pct=strength)) == pytest.approx(
        strength, abs=1e-9
    )


@given(strengths)
def test_mass_fraction_agrees_with_a_slow_search(strength):
    assert mass_fraction(vv_pct=strength) == pytest.approx(
        slow_mass_fraction(strength), abs=1e-8
    )


@given(st.floats(0, 1), st.floats(0, 1), st.floats(15, 30))
def test_more_alcohol_is_never_denser(one, other, temp_c):
    weak, strong = sorted((one, other))
    assert (
        density_g_per_ml(mass_fraction=strong, temp_c=temp_c)
        <= density_g_per_ml(mass_fraction=weak, temp_c=temp_c) + 1e-12
    )


@given(st.floats(0, 1), st.floats(4, 50), st.floats(4, 50))
def test_warmer_liquid_is_never_denser(share, one, other):
    cold, warm = sorted((one, other))
    assert (
        density_g_per_ml(mass_fraction=share, temp_c=warm)
        <= density_g_per_ml(mass_fraction=share, temp_c=cold) + 1e-7
    )


@given(st.floats(0, 100), st.floats(0.01, 100))
def test_stronger_by_mass_is_stronger_by_volume(strength, more):
    stronger = min(100.0, strength + more)
    assert mass_fraction(vv_pct=stronger) >= mass_fraction(vv_pct=strength)


@given(st.floats(1, 20_000), strengths, volumes)
def test_mass_and_alcohol_are_conserved(stock_ml, stock_vv_pct, water_ml):
    mix = blend(stock_ml=stock_ml, stock_vv_pct=stock_vv_pct, water_ml=water_ml)
    share = mass_fraction(vv_pct=stock_vv_pct)
    poured_g = stock_ml * density_g_per_ml(mass_fraction=share)
    poured_g += water_ml * density_g_per_ml(mass_fraction=0)
    held_g = mix.volume_ml * density_g_per_ml(mass_fraction=mix.ww_pct / 100)
    assert held_g == pytest.approx(poured_g, rel=1e-9)
    assert mix.volume_ml * mix.vv_pct == pytest.approx(
        stock_ml * stock_vv_pct, rel=1e-9, abs=1e-6
    )


@given(st.floats(1, 20_000), strengths, volumes, volumes)
def test_more_water_never_raises_strength(stock_ml, stock_vv_pct, water_ml, more_ml):
    def strength(water: float) -> float:
        return blend(
            stock_ml=stock_ml, stock_vv_pct=stock_vv_pct, water_ml=water
        ).vv_pct

    assert strength(water_ml + more_ml) <= strength(water_ml) + 1e-9


def test_weak_alcohol_swells_on_dilution_as_the_handbook_says():
    # CRC102: 8 % by mass 0.9843, 4 % 0.9902, water 0.9982. 100 g + 100 g fill
    # 101.60 + 100.18 = 201.78 mL before and 200 / 0.9902 = 201.98 mL after.
    mix = blend(
        stock_ml=100 / 0.9843,
        stock_vv_pct=vv_pct(mass_fraction=0.08),
        water_ml=100 / 0.9982,
    )
    assert mix.contraction_ml == pytest.approx(-0.20, abs=0.01)


@given(st.floats(1, 20_000), st.floats(70, 100), volumes)
def test_stock_from_the_shelf_never_swells_on_mixing(stock_ml, stock_vv_pct, water_ml):
    mix = blend(stock_ml=stock_ml, stock_vv_pct=stock_vv_pct, water_ml=water_ml)
    # 70 % with a hundredfold of water swells by 2 parts in 100 000.
    assert mix.contraction_ml >= -5e-5 * (stock_ml + water_ml)
    assert mix.contraction_ml <= 0.035 * (stock_ml + water_ml)


@given(st.floats(1, 20_000), strengths, volumes)
def test_no_mix_swells_beyond_what_the_tables_allow(stock_ml, stock_vv_pct, water_ml):
    mix = blend(stock_ml=stock_ml, stock_vv_pct=stock_vv_pct, water_ml=water_ml)
    # At most 0.23 %, for a stock of 20 to 25 % v/v in the CRC rows.
    assert mix.contraction_ml >= -0.0025 * (stock_ml + water_ml)


@given(st.floats(1, 20_000), st.floats(0.1, 100), st.floats(0.01, 1))
def test_made_up_mix_blends_back_to_what_was_wanted(volume_ml, stock_vv_pct, part):
    wanted = stock_vv_pct * part
    pour = make_up(volume_ml=volume_ml, vv_pct=wanted, stock_vv_pct=stock_vv_pct)
    mix = blend(
        stock_ml=pour.stock_ml, stock_vv_pct=stock_vv_pct, water_ml=pour.water_ml
    )
    assert mix.volume_ml == pytest.approx(volume_ml, rel=1e-6)
    assert mix.vv_pct == pytest.approx(wanted, rel=1e-6)
