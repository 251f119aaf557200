"""Coverage: panels by body, packages, finishes and the default times."""

import pytest
from hypothesis import given as for_all
from hypothesis import strategies as st

from jobs.coverage.catalogue import (
    PACKAGE_KINDS,
    PART_OF,
    Body,
    Edge,
    Method,
    Package,
    PanelChoice,
    coverage_problems,
    default_choices,
    laying_min,
    package_panels,
    panel_name,
    panels,
    panels_on,
    placing_min,
)
from jobs.tables import checked_rows, table
from shopapp.figures import explain

# Common practice, no published source: the shop's rough times for one installer,
# hand-fitted (total from, to; placing from, to), set down here by hand.
USUAL_MIN = [
    ("hood", 90, 120, 15, 25),
    ("partial_hood", 45, 60, 10, 15),
    ("front_fender_left", 45, 45, 10, 15),
    ("front_bumper", 150, 210, 30, 45),
    ("mirror_right", 30, 45, 8, 12),
    ("headlight_left", 20, 20, 5, 8),
    ("rear_door_left", 60, 60, 10, 15),
    ("rear_bumper", 120, 150, 25, 40),
    ("rocker_left", 45, 45, 8, 12),
    ("quarter_right", 90, 120, 15, 20),
    ("roof", 90, 90, 20, 25),
    ("boot_lid", 60, 75, 10, 15),
    ("a_pillar_left", 10, 20, 3, 6),
]


@pytest.mark.parametrize(("code", "low", "high", "wet_low", "wet_high"), USUAL_MIN)
def test_default_times_are_those_of_common_practice(code, low, high, wet_low, wet_high):
    total = laying_min(panels()[code], method=Method.HAND_FITTED)
    placing = placing_min(panels()[code])
    assert (total.low, total.high) == (low, high)
    assert (placing.low, placing.high) == (wet_low, wet_high)


def test_pre_cut_film_takes_half_to_six_tenths_of_the_time():
    hood = laying_min(panels()["hood"], method=Method.PRE_CUT)
    assert (hood.low, hood.high) == (45, 72)


def test_a_pre_cut_mirror_takes_the_time_that_practice_names():
    assert laying_min(panels()["mirror_left"], method=Method.PRE_CUT).value == 25


@pytest.mark.parametrize("made_by", ["laying_min", "placing_min"])
def test_times_open_to_formula_and_source(made_by):
    explained = explain(f"jobs.coverage.{made_by}")
    assert "middle of the usual range" in explained.formula
    assert explained.source.startswith("common practice")


def test_a_two_door_body_has_no_rear_doors():
    kinds = {panel.kind for panel in panels_on(Body.COUPE)}
    assert not kinds & {"rear_door", "handle_cup_rear", "door_edge_rear", "b_pillar"}
    assert "rear_door" in {panel.kind for panel in panels_on(Body.SEDAN)}


@pytest.mark.parametrize(
    ("code", "body", "name"),
    [
        ("boot_lid", Body.SEDAN, "boot lid"),
        ("boot_lid", Body.HATCH, "hatch"),
        ("boot_lid", Body.PICKUP, "tailgate"),
        ("quarter_left", Body.PICKUP, "bed side, left"),
        ("front_door_right", Body.COUPE, "door, right"),
    ],
)
def test_a_panel_is_called_what_it_is_on_that_body(code, body, name):
    assert panel_name(code, body=body) == name


def test_a_full_front_is_bumper_lights_hood_fenders_and_mirrors():
    assert package_panels(Package.FULL_FRONT, body=Body.SEDAN) == (
        "front_bumper",
        "headlight_left",
        "headlight_right",
        "hood",
        "front_fender_left",
        "front_fender_right",
        "mirror_left",
        "mirror_right",
    )


@pytest.mark.parametrize("body", Body)
@pytest.mark.parametrize("package", [p for p in Package if PACKAGE_KINDS[p]])
def test_every_package_can_be_booked_on_every_body(package, body):
    choices = default_choices(package, body=body, method=Method.HAND_FITTED)
    assert coverage_problems(choices, body=body) == ()


@pytest.mark.parametrize("body", Body)
def test_a_full_vehicle_leaves_out_only_parts_of_larger_panels(body):
    filmed = set(package_panels(Package.FULL_VEHICLE, body=body))
    left = {p.kind for p in panels_on(body) if p.code not in filmed}
    assert left <= set(PART_OF)


@pytest.mark.parametrize(
    ("codes", "body", "sentence"),
    [
        ([], Body.SEDAN, "Choose at least one panel."),
        (["wing"], Body.SEDAN, "There is no panel “wing”."),
        ([""], Body.SEDAN, "There is no panel “”."),
        (["rear_door_left"], Body.COUPE, "A coupe has no rear door, left."),
        (["roof", "roof"], Body.SEDAN, "roof is chosen twice."),
        (
            ["hood", "partial_hood"],
            Body.SEDAN,
            "partial hood lies on hood: choose one of the two.",
        ),
    ],
)
def test_a_coverage_that_makes_no_sense_is_named(codes, body, sentence):
    choices = [PanelChoice(panel=code) for code in codes]
    assert [str(s) for s in coverage_problems(choices, body=body)] == [sentence]


def test_the_left_edge_may_be_filmed_beside_the_right_door():
    choices = [
        PanelChoice(panel="door_edge_front_left"),
        PanelChoice(panel="front_door_right"),
    ]
    assert coverage_problems(choices, body=Body.SEDAN) == ()


def test_lights_are_cut_short_and_hoods_wrapped_by_default():
    choices = default_choices(Package.FULL_FRONT, body=Body.SUV, method=Method.PRE_CUT)
    edges = {choice.panel: choice.edge for choice in choices}
    assert edges["headlight_left"] is Edge.CUT_SHORT
    assert edges["hood"] is Edge.WRAPPED


@for_all(panel=st.sampled_from(list(panels().values())))
def test_placing_never_takes_longer_than_the_whole_panel(panel):
    assert placing_min(panel).value < laying_min(panel, method=Method.PRE_CUT).value


@for_all(body=st.sampled_from(Body), package=st.sampled_from(Package))
def test_a_package_never_names_a_panel_the_body_lacks(body, package):
    there = {panel.code for panel in panels_on(body)}
    assert set(package_panels(package, body=body)) <= there


def test_a_row_without_a_source_is_refused():
    with pytest.raises(ValueError, match="line 3 does not name its source"):
        checked_rows("code,source\na,memory\nb,", name="t")


@pytest.mark.parametrize(
    ("text", "error"),
    [
        ("code\na", "no source column"),
        ("code,source", "is empty"),
        ("", "no source column"),
        ("code,source\na,b,c", "line 2: 3 cells"),
    ],
)
def test_a_broken_table_is_refused(text, error):
    with pytest.raises(ValueError, match=error):
        checked_rows(text, name="t")


def test_a_table_that_does_not_exist_is_named():
    with pytest.raises(LookupError, match="no table nowhere"):
        table("nowhere")
