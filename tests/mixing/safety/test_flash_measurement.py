"""Which mixes a measured flash point stands for, and what cannot have been measured."""

from __future__ import annotations

import dataclasses
from datetime import date

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from mixing.chemistry.alcohol import mass_fraction
from mixing.safety.block import safety_block
from mixing.safety.flammable import Ground, liquid_class
from mixing.safety.flash_measurement import (
    FlashMeasurement,
    Mix,
    known_flash,
    plausible_c,
    strongest_vv_pct,
    typed_troubles,
    weakest_vv_pct,
    why_not,
)
from mixing.safety.flash_point import flash_point_c
from mixing.safety.states import PAGE_FLASH
from tests.cases import rows
from tests.mixing.safety.safety_job import TACK, request

LAB = FlashMeasurement(
    key=1,
    kind="tack",
    recipe="tack-2",
    vv_pct=17.7,
    flash_point_c=31.0,
    boiling_point_c=84.0,
    closed_cup=True,
    ground=Ground.MEASURED,
    by="Town Lab",
    on=date(2026, 2, 3),
)
BATCH = Mix(kind="tack", recipe="tack-2", vv_pct=17.7, vv_high_pct=18.4)


def lab(**changes):
    return dataclasses.replace(LAB, **changes)


def batch(**changes):
    return dataclasses.replace(BATCH, **changes)


def test_a_batch_of_the_version_that_was_tested_goes_by_the_test():
    known = known_flash([LAB], BATCH)
    assert known is not None
    assert (known.flash_point_c, known.boiling_point_c) == (31.0, 84.0)
    assert str(known.basis) == (
        "Measured 31 degc closed cup (Town Lab, 2026-02-03) at 17.7 vv_pct; stands for "
        "14.16 vv_pct to 18.054 vv_pct."
    )


@pytest.mark.parametrize(
    ("mix", "told"),
    [
        # Own rule: a stronger mix never goes by a weaker one's flash point.
        (batch(vv_pct=18.06), "a stronger mix"),
        (batch(vv_pct=60.0), "a stronger mix"),
        (batch(vv_pct=14.1), "a much weaker mix"),
        (batch(vv_pct=0.0), "no alcohol"),
        (batch(kind="all_in_one"), "another solution"),
        # Another version: the upper end of the batch's range counts.
        (batch(recipe="tack-3"), "a stronger mix"),
    ],
)
def test_a_mix_that_is_not_the_one_tested_is_told_why(mix, told):
    assert told in str(why_not(LAB, mix))
    assert known_flash([LAB], mix) is None


@pytest.mark.parametrize(
    "mix",
    [
        batch(vv_pct=18.05),
        batch(vv_pct=14.2),
        batch(recipe="tack-3", vv_high_pct=18.0),
    ],
)
def test_a_mix_of_like_strength_goes_by_the_test(mix):
    assert known_flash([LAB], mix) is not None


def test_an_open_cup_is_never_taken_for_a_closed_one():
    assert "Open cup" in str(why_not(lab(closed_cup=False), BATCH))
    assert known_flash([lab(closed_cup=False)], BATCH) is None


def test_of_several_the_same_version_counts_then_the_lowest():
    other = lab(key=2, recipe="tack-1", flash_point_c=26.0, vv_pct=19.0)
    lower = lab(key=3, flash_point_c=30.0)
    known = known_flash([other, LAB, lower], BATCH)
    assert known is not None
    assert known.key == 3
    assert known_flash([other, lab(closed_cup=False)], BATCH).key == 2


strengths = st.floats(min_value=0.5, max_value=100)


@settings(deadline=None)
@given(strengths, strengths)
def test_no_mix_goes_by_the_test_of_a_mix_weaker_by_more_than_the_tolerance(a, b):
    used = known_flash([lab(vv_pct=a)], batch(vv_pct=b, vv_high_pct=b))
    if used is not None:
        assert b <= a + 0.5 + 1e-6
        assert b <= a * 1.02 + 1e-6
        assert b >= 0.8 * a - 1e-6


@settings(deadline=None)
@given(st.floats(min_value=1.9, max_value=95))
def test_the_tolerances_move_the_estimate_by_as_little_as_they_say(vv_pct):
    """Within 0.3 K upwards, 4.5 K (safe side) downwards: computed from our estimate."""

    def at(strength):
        found = flash_point_c(mass_fraction=mass_fraction(vv_pct=strength))
        assert found is not None
        return found

    assert at(vv_pct) - at(strongest_vv_pct(vv_pct=vv_pct)) < 0.31
    assert 0 <= at(weakest_vv_pct(vv_pct=vv_pct)) - at(vv_pct) < 4.5


@pytest.mark.parametrize("row", rows("safety_flash_points"), ids=lambda r: r["what"])
def test_every_published_point_is_believed_as_it_stands(row):
    low, high = plausible_c(vv_pct=float(row["vv_pct"]))
    assert low <= float(row["flash_point_c"]) <= high


@settings(deadline=None)
@given(st.floats(min_value=2, max_value=100), st.floats(min_value=-5, max_value=8))
def test_the_other_scale_is_always_caught(vv_pct, spread):
    """A true value within the estimate's spread, typed in the wrong scale."""
    estimate = flash_point_c(mass_fraction=mass_fraction(vv_pct=vv_pct))
    assert estimate is not None
    true_c = max(12.0, estimate + spread)
    assert troubles(vv_pct=vv_pct, flash_point_c=true_c) == []
    as_f = true_c * 1.8 + 32
    (found,) = troubles(vv_pct=vv_pct, flash_point_c=as_f)
    assert found[0] == "flash_point_c"
    as_c = (true_c - 32) / 1.8
    (found,) = troubles(vv_pct=vv_pct, flash_point_c=as_c, in_fahrenheit=True)
    assert found[0] == "flash_point_c"


def troubles(**typed):
    known = {
        "vv_pct": 17.7,
        "flash_point_c": 31.0,
        "boiling_point_c": None,
        "category": None,
        "closed_cup": True,
        "category_4_to_c": 93.0,
        "in_fahrenheit": False,
        "is_sure": False,
    }
    found = typed_troubles(**{**known, **typed})
    return [(field, str(sentence)) for field, sentence in found]


@pytest.mark.parametrize(
    ("typed", "field", "told"),
    [
        ({"vv_pct": 0.0}, "vv_pct", "no flash point to measure"),
        ({"vv_pct": -3.0}, "vv_pct", "no flash point to measure"),
        ({"vv_pct": 177.0}, "vv_pct", "100 % at most"),
        ({"boiling_point_c": 30.0}, "flash_point_c", "No liquid flashes only at"),
        ({"flash_point_c": 86.0}, "flash_point_c", "says 86 °F, enter 30 degc"),
        ({"flash_point_c": 57.0}, "flash_point_c", "too high"),
        ({"flash_point_c": 130.0}, "flash_point_c", "too high"),
        ({"flash_point_c": 11.0}, "flash_point_c", "tick that you looked"),
        ({"category": 2}, "category", "does not belong"),
        ({"category": 0}, "category", "does not belong"),
    ],
)
def test_what_cannot_be_is_told_at_its_field(typed, field, told):
    ((where, sentence),) = troubles(**typed)
    assert where == field
    assert told in sentence


def test_a_low_value_that_was_looked_at_again_is_kept_a_high_one_never():
    assert troubles(flash_point_c=11.0, is_sure=True) == []
    assert troubles(flash_point_c=57.0, is_sure=True) != []


def test_a_category_is_not_held_against_an_open_cup():
    assert troubles(category=2, closed_cup=False) == []
    assert troubles(category=3) == []


def as_measured(use, known):
    return dataclasses.replace(
        use,
        flash_point_c=known.flash_point_c,
        boiling_point_c=known.boiling_point_c,
        ground=known.ground,
        flash_basis=known.basis,
    )


def test_the_block_prints_the_rule_it_goes_by():
    known = known_flash([LAB], BATCH)
    block = safety_block(request(solutions=(as_measured(TACK, known),)))
    line = block.line("class:tack")
    assert "flash point 31 degc" in str(line.sentence)
    assert line.basis == known.basis
    assert "flash point 31 degc" in str(block.line("waste:tack").basis)


def test_without_a_test_the_line_says_so_and_names_the_page():
    line = safety_block(request()).line("class:tack")
    assert str(line.basis).startswith("Not measured; by strength")
    assert line.better_on == PAGE_FLASH
    assert safety_block(request()).line("class:slip").better_on == ""


def test_a_measured_value_reaches_fire_line_label_waste_and_drain():
    """At 25 % v/v the strength says category 2; a test of 28 °C says 3 (GHS 2.6)."""
    strong = dataclasses.replace(TACK, vv_pct=25.0)
    before = safety_block(request(solutions=(strong,), prep=()))
    known = known_flash([lab(vv_pct=25.0, flash_point_c=28.0)], batch(vv_pct=25.0))
    after = safety_block(request(solutions=(as_measured(strong, known),), prep=()))
    assert "category 2" in str(before.fire_line.sentence)
    assert "category 3" in str(after.fire_line.sentence)
    (label,) = after.labels
    assert (label.elements.signal, "H226" in label.elements.h_codes) == (
        "Warning",
        True,
    )
    assert after.line("waste:tack").state == "WATCH"


def test_a_test_above_the_limits_frees_waste_and_drain():
    """40 CFR 261.21(a)(1) and 403.5(b)(1): below 60 °C closed cup."""
    weak = dataclasses.replace(TACK, vv_pct=2.2)
    known = known_flash(
        [lab(vv_pct=2.2, flash_point_c=62.0)], batch(vv_pct=2.2, vv_high_pct=2.3)
    )
    block = safety_block(request(solutions=(as_measured(weak, known),), prep=()))
    assert "not ignitable waste: it flashes" in str(block.line("waste:tack").sentence)
    assert str(block.line("drain").sentence).startswith("Ask the sewer authority")
    assert "category 4" in str(block.line("class:tack").sentence)


def test_a_fire_line_of_a_mix_without_a_category_does_not_call_it_unknown():
    weak = dataclasses.replace(TACK, vv_pct=1.0)
    block = safety_block(request(solutions=(weak,), prep=()))
    assert "not classified as flammable" in str(block.fire_line.sentence)
    assert "not all that burns" not in str(block.fire_line.sentence)


def test_a_measured_class_carries_the_basis_it_was_given():
    known = known_flash([LAB], BATCH)
    found = liquid_class(
        vv_pct=17.7, flash_point_c=31.0, ground=Ground.MEASURED, basis=known.basis
    )
    assert found.basis == known.basis
