"""Dispensers: what can be read, and the range that reading allows."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mixing.dispensers.dosing import (
    Dispenser,
    DispenserKind,
    Substance,
    best_dose,
    dose,
    drop_ml,
)
from mixing.dispensers.droppers import calibrated_dropper, weighed_dropper

SYRINGE = Dispenser(
    name="5 mL syringe",
    kind=DispenserKind.SYRINGE,
    graduation_ml=0.2,
    error_ml=0.1,
    capacity_ml=5,
)
JUG = Dispenser(
    name="1 L jug",
    kind=DispenserKind.JUG,
    graduation_ml=10,
    error_ml=5,
    capacity_ml=1000,
)
SMALL_JUG = Dispenser(
    name="250 mL jug",
    kind=DispenserKind.JUG,
    graduation_ml=5,
    error_ml=2.5,
    capacity_ml=250,
)

scales = st.builds(
    Dispenser,
    name=st.just("jug"),
    kind=st.sampled_from([DispenserKind.JUG, DispenserKind.SYRINGE]),
    graduation_ml=st.floats(0.05, 50),
    error_ml=st.floats(0, 20),
    capacity_ml=st.floats(60, 5000),
)


def test_the_soap_of_one_bottle_is_read_off_a_syringe():
    # 2 mL a bottle: common practice, no published source.
    made = dose(target_ml=2, dispenser=SYRINGE, tolerance_pct=15)
    assert made.amount_ml == 2
    assert (made.low_ml, made.high_ml) == (pytest.approx(1.8), pytest.approx(2.2))
    assert made.adequate


def test_a_pour_larger_than_the_jug_takes_two_fills_and_twice_the_spread():
    made = dose(target_ml=1500, dispenser=JUG, tolerance_pct=5)
    assert made.fills == 2
    assert (made.low_ml, made.high_ml) == (1480, 1520)


def test_a_pump_is_counted_in_strokes():
    pump = Dispenser(
        name="pump", kind=DispenserKind.PUMP, graduation_ml=1.5, error_ml=0.1
    )
    made = dose(target_ml=6.2, dispenser=pump, tolerance_pct=25)
    assert (made.fills, made.amount_ml) == (4, 6.0)
    assert made.high_ml == pytest.approx(6 + 4 * 0.1 + 0.75)


def test_an_uncalibrated_dropper_measures_nothing():
    dropper = Dispenser(
        name="soap bottle", kind=DispenserKind.DROPPER, graduation_ml=0.35
    )
    with pytest.raises(ValueError, match="count its drops to a mark"):
        dose(target_ml=2, dispenser=dropper, tolerance_pct=15)
    assert best_dose(target_ml=2, dispensers=[dropper], tolerance_pct=15) is None


def test_the_trades_two_drops_differ():
    # 6 drops for 2 mL and 10 for 3.5 mL: common practice, no published source.
    assert drop_ml(volume_ml=2, drops=6) == pytest.approx(0.333, abs=5e-4)
    assert drop_ml(volume_ml=3.5, drops=10) == pytest.approx(0.350, abs=5e-4)


def test_a_metric_drop_is_twenty_to_the_millilitre():
    # USP 32 chapter 1101: a medicine dropper gives 45 to 55 mg of water a drop.
    assert drop_ml(volume_ml=1, drops=20) == pytest.approx(0.05)


def test_a_calibrated_dropper_carries_the_spread_of_its_counts():
    dropper = calibrated_dropper(name="soap", volume_ml=5, counts=(14, 16))
    made = dose(target_ml=2, dispenser=dropper, tolerance_pct=30)
    assert made.fills == 6
    assert dropper.error_ml == pytest.approx((5 / 14 - 5 / 16) / 2)


def test_one_count_is_no_calibration():
    with pytest.raises(ValueError, match="at least twice"):
        calibrated_dropper(name="soap", volume_ml=5, counts=(15,))


def test_the_finer_jug_is_taken_where_the_coarse_one_leaves_the_tolerance():
    best = best_dose(target_ml=240, dispensers=[JUG, SMALL_JUG], tolerance_pct=2.5)
    assert best is not None
    assert best.dispenser is SMALL_JUG
    assert best.adequate


def test_one_fill_of_the_large_jug_beats_three_of_the_small():
    best = best_dose(target_ml=720, dispensers=[SMALL_JUG, JUG], tolerance_pct=2.5)
    assert best is not None
    assert best.dispenser is JUG


def test_a_pour_never_takes_more_than_is_left():
    made = dose(target_ml=238, dispenser=JUG, tolerance_pct=5, most_ml=236)
    assert made.amount_ml == 230
    assert made.capped


def test_a_soap_syringe_is_not_used_for_alcohol():
    assert not SYRINGE.takes(Substance.ALCOHOL)
    assert JUG.takes(Substance.ALCOHOL)


@pytest.mark.parametrize("target", [0, -1, float("nan"), float("inf")])
def test_an_impossible_volume_is_refused_in_a_sentence(target):
    with pytest.raises(ValueError, match="volume above zero"):
        dose(target_ml=target, dispenser=JUG, tolerance_pct=5)


@pytest.mark.parametrize(
    ("wrong", "sentence"),
    [
        ({"graduation_ml": 0}, "graduation of jug must be above zero"),
        ({"error_ml": -1}, "error of jug cannot be below zero"),
        ({"capacity_ml": 5}, "must hold at least one graduation"),
    ],
)
def test_an_impossible_dispenser_is_refused_in_a_sentence(wrong, sentence):
    sizes = {"graduation_ml": 10.0, "error_ml": 1.0, "capacity_ml": 1000.0} | wrong
    with pytest.raises(ValueError, match=sentence):
        Dispenser(name="jug", kind=DispenserKind.JUG, **sizes)


@given(dispenser=scales, target=st.floats(0.1, 20_000))
def test_a_rounded_pour_lies_within_half_a_graduation_of_the_target(dispenser, target):
    made = dose(target_ml=target, dispenser=dispenser, tolerance_pct=10)
    assert abs(made.amount_ml - target) <= dispenser.graduation_ml / 2 + 1e-5
    steps = made.amount_ml / dispenser.graduation_ml
    assert steps == pytest.approx(round(steps), abs=1e-4)


@given(dispenser=scales, target=st.floats(0.1, 20_000), reading=st.floats(-0.5, 0.5))
def test_each_fill_read_half_a_graduation_off_stays_in_the_range(
    dispenser, target, reading
):
    made = dose(target_ml=target, dispenser=dispenser, tolerance_pct=10)
    poured, rest = 0.0, made.amount_ml
    while rest > 1e-9:  # filled by hand, one fill after the other
        fill = min(rest, dispenser.capacity_ml)
        rest -= fill
        poured += max(0.0, fill + reading * dispenser.graduation_ml)
    assert made.low_ml - 1e-6 <= poured <= made.high_ml + 1e-6


@given(dispenser=scales, target=st.floats(0.1, 20_000), tolerance=st.floats(0.1, 50))
def test_adequate_means_that_the_whole_range_lies_within_the_tolerance(
    dispenser, target, tolerance
):
    made = dose(target_ml=target, dispenser=dispenser, tolerance_pct=tolerance)
    inside = (
        made.low_ml >= target * (1 - tolerance / 100) - 1e-6
        and made.high_ml <= target * (1 + tolerance / 100) + 1e-6
    )
    off = max(target - made.low_ml, made.high_ml - target)
    if abs(off - target * tolerance / 100) > 2e-6:  # on the edge amounts are rounded
        assert made.adequate == (inside and made.amount_ml > 0)


# ---- droppers ----


def test_twenty_drops_of_seven_grams_are_the_trades_drop():
    # By hand: 7.14 g / (20 x 1.02 g/mL) = 0.35 mL, the drop of the trade's ten drops
    # for 3.5 mL (common practice, no published source).
    made = weighed_dropper(
        name="soap", drops=20, masses_g=(7.14, 7.14), density_g_per_ml=1.02
    )
    assert made.graduation_ml == pytest.approx(0.35)
    assert made.error_ml == pytest.approx(0)
    assert made.measures


def test_weighed_water_gives_the_pharmacys_drop():
    # USP 32 chapter 1101: 20 drops of water in 0.9 to 1.1 g; 0.99821 g/mL at 20 C
    # (NIST, water density).
    made = weighed_dropper(
        name="water", drops=20, masses_g=(0.9, 1.1), density_g_per_ml=0.99821
    )
    assert made.graduation_ml == pytest.approx(0.0501, abs=1e-4)
    assert made.error_ml == pytest.approx(0.1 / 20 / 0.99821)


def test_an_unknown_density_widens_the_spread_but_hardly_moves_the_drop():
    known, unknown = (
        weighed_dropper(name="s", drops=20, masses_g=(7.0, 7.2), density_g_per_ml=d)
        for d in (1.05, None)
    )
    assert unknown.error_ml > known.error_ml
    low = unknown.graduation_ml - unknown.error_ml
    assert low <= known.graduation_ml <= unknown.graduation_ml + unknown.error_ml


@pytest.mark.parametrize(
    ("about", "said"),
    [
        ({"masses_g": (7.0,)}, "at least twice"),
        ({"masses_g": (7.0, 0.0)}, "above zero"),
        ({"masses_g": (700.0, 700.0)}, "A drop is 0.01 to 1 mL"),
        ({"density_g_per_ml": 7.9}, "near 1 g/mL"),
    ],
)
def test_a_weighing_that_cannot_be_is_said_in_words(about, said):
    known = {"name": "soap", "drops": 20, "masses_g": (7.0, 7.1), **about}
    with pytest.raises(ValueError, match=said):
        weighed_dropper(**known)


@given(
    drops=st.integers(5, 200),
    sizes=st.lists(st.floats(0.02, 0.6), min_size=2, max_size=6),
    density=st.floats(0.95, 1.1),
)
def test_every_weighing_lies_within_the_spread_of_the_drop(drops, sizes, density):
    made = weighed_dropper(
        name="soap",
        drops=drops,
        masses_g=[size * drops * density for size in sizes],
        density_g_per_ml=density,
    )
    for size in sizes:
        assert abs(size - made.graduation_ml) <= made.error_ml + 1e-9
