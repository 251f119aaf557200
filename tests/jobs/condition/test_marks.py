"""Marks, paint readings, checklists and the acceptance standard."""

import math
from collections import Counter

import pytest
from hypothesis import given as for_all
from hypothesis import strategies as st

from jobs.condition.marks import (
    AcceptanceStandard,
    Filming,
    ItemKind,
    PaintLimits,
    SeenDefect,
    default_checklists,
    mark_kinds,
    neighbours_flag,
    number_problem,
    outside_standard,
    paint_flags,
    spot_um,
)
from shopapp.figures import explain
from shopapp.units import UNITS

LIMITS = PaintLimits()
STANDARD = AcceptanceStandard(largest_mm=2.0, per_panel=3)


def defect(name, *, panel="hood", kind="dirt", size_mm=1.0):
    return SeenDefect(name=name, panel=panel, kind=kind, size_mm=size_mm)


def test_a_spot_is_the_mean_of_its_readings():
    # Arithmetic: 118, 122 and 120 um make 120 um (4.72 mil).
    spot = spot_um([118, 122, 120])
    assert (spot.value, spot.low, spot.high) == (120, 118, 122)


def test_two_readings_are_not_a_spot():
    # SSPC-PA 2: a spot is the mean of at least three readings.
    with pytest.raises(ValueError, match="three"):
        spot_um([118, 122])


@pytest.mark.parametrize("reading", [-1, 5001, math.nan])
def test_an_impossible_paint_reading_is_an_error(reading):
    with pytest.raises(ValueError, match="between 0 and 5000"):
        spot_um([120, 120, reading])


def test_the_spot_opens_to_formula_and_source():
    assert "SSPC-PA 2" in explain("jobs.condition.marks.spot_um").source


@pytest.mark.parametrize(
    ("spot", "words"),
    [
        (79, ["thin"]),
        (80, []),
        (120, []),
        (200, []),
        (201, ["possible refinish"]),
        (301, ["possible filler"]),
    ],
)
def test_paint_is_flagged_by_the_limits_and_only_as_possible(spot, words):
    flags = paint_flags(spot_um=spot, vehicle_spots_um=[], limits=LIMITS)
    assert [any(w in str(f) for f in flags) for w in words] == [True] * len(words)
    assert len(flags) == len(words)


def test_a_spot_half_again_the_median_of_the_car_is_checked():
    spots = [100, 104, 98, 102, 160]
    (flag,) = paint_flags(spot_um=160, vehicle_spots_um=spots, limits=LIMITS)
    assert str(flag) == "160 um where the car has about 102 um: check."


@pytest.mark.parametrize(("beside_um", "checked"), [(140, False), (141, True)])
def test_neighbouring_panels_that_differ_are_checked(beside_um, checked):
    flag = neighbours_flag(
        panel="hood",
        panel_um=100,
        beside="front fender, left",
        beside_um=beside_um,
        limits=LIMITS,
    )
    assert bool(flag) is checked


def test_rust_and_peeling_clear_coat_are_never_filmed():
    # Common practice, no published source.
    never = {k for k, mark in mark_kinds().items() if mark.film is Filming.NEVER}
    assert never == {"rust_bubble", "clear_peel"}


def test_a_stone_chip_is_filmed_over_with_consent():
    assert mark_kinds()["stone_chip"].film is Filming.CONSENT


def test_there_is_a_checklist_for_each_step_of_the_day():
    assert list(default_checklists()) == [
        "intake",
        "prep",
        "install",
        "inspection",
        "final_look",
        "hand_over",
    ]


def test_codes_of_a_checklist_are_unique_and_numbers_have_limits():
    for items in default_checklists().values():
        assert max(Counter(item.code for item in items).values()) == 1
        for item in items:
            is_number = item.kind is ItemKind.NUMBER
            assert (item.low is not None and item.high is not None) is is_number
            assert item.unit in UNITS


def test_items_are_short_commands():
    for items in default_checklists().values():
        assert all(len(item.text) <= 50 for item in items)
        assert any(item.is_required for item in items)


@pytest.mark.parametrize(
    ("value", "sentence"),
    [
        (21.0, None),
        (-10, None),
        (-10.1, "Read the panel: not below -10 degc."),
        (61, "Read the panel: not above 60 degc."),
        (math.nan, "Read the panel: that is not a number."),
    ],
)
def test_a_number_outside_its_limits_is_named(value, sentence):
    (item,) = [i for i in default_checklists()["prep"] if i.code == "read_the_panel"]
    problem = number_problem(item, value=value)
    assert (str(problem) if problem else None) == sentence


def test_a_few_small_defects_on_a_panel_pass():
    three = [defect(f"speck {n}") for n in range(3)]
    assert outside_standard(three, standard=STANDARD) == ()


def test_one_small_defect_too_many_puts_all_of_its_panel_outside():
    many = [defect(f"speck {n}") for n in range(4)]
    elsewhere = defect("speck", panel="roof")
    assert outside_standard([*many, elsewhere], standard=STANDARD) == tuple(many)


def test_a_large_defect_and_one_without_a_size_are_outside():
    large, unsized = defect("hair", size_mm=2.1), defect("hair", size_mm=None)
    found = outside_standard([large, unsized], standard=STANDARD)
    assert found == (large, unsized)


def test_clear_water_pockets_are_watched_and_not_counted():
    pocket = defect("pocket", kind="water_pocket", size_mm=30.0)
    assert outside_standard([pocket], standard=STANDARD) == ()


defects = st.lists(
    st.builds(
        SeenDefect,
        name=st.just("d"),
        panel=st.sampled_from(["hood", "roof"]),
        kind=st.sampled_from(["dirt", "haze"]),
        size_mm=st.none() | st.floats(0, 10),
    ),
    max_size=8,
)


@for_all(defects=defects, largest=st.floats(0, 5), per_panel=st.integers(0, 5))
def test_a_more_generous_standard_never_refuses_more(defects, largest, per_panel):
    strict = AcceptanceStandard(largest_mm=largest, per_panel=per_panel)
    mild = AcceptanceStandard(largest_mm=largest + 1, per_panel=per_panel + 1)
    refused = Counter(outside_standard(defects, standard=strict))
    assert not Counter(outside_standard(defects, standard=mild)) - refused
