"""Blanks: wrap and margin by finish and method, measured over template."""

import math
from dataclasses import replace

import pytest
from hypothesis import given as for_all
from hypothesis import strategies as st

from jobs.coverage.allowances import USUAL
from jobs.coverage.blanks import (
    PanelSize,
    blank_side_mm,
    film_area_m2,
    panel_blank,
    panel_size,
    size_classes,
    size_problem,
    template_size,
)
from jobs.coverage.catalogue import Body, Edge, Method, PanelChoice, panels, panels_on
from shopapp.figures import explain

HOOD = PanelSize(length_mm=1060, width_mm=1440, basis="template", note="compact")


BY_HAND = USUAL[Method.HAND_FITTED]


def blank(choice, allowance=None, size=HOOD):
    allowance = allowance or USUAL[choice.method]
    made = panel_blank(choice, size=size, body=Body.SEDAN, allowance=allowance)
    return made.length_mm.value, made.width_mm.value


def test_a_wrapped_hand_fitted_hood_gets_wrap_and_margin_on_every_side():
    # By hand: 1060 + 2 x (10 + 60) = 1200 and 1440 + 2 x (10 + 60) = 1580.
    assert blank(PanelChoice(panel="hood")) == (1200, 1580)


def test_an_edge_cut_short_gets_no_wrap():
    assert blank(PanelChoice(panel="hood", edge=Edge.CUT_SHORT)) == (1180, 1560)


def test_pre_cut_film_gets_no_handling_margin():
    assert blank(PanelChoice(panel="hood", method=Method.PRE_CUT)) == (1080, 1460)


def test_pre_cut_film_cut_short_is_the_panel_itself():
    choice = PanelChoice(panel="hood", method=Method.PRE_CUT, edge=Edge.CUT_SHORT)
    assert blank(choice) == (1060, 1440)


def test_each_axis_has_its_own_allowance():
    allowance = replace(BY_HAND, hold_width_mm=0.0, wrap_length_mm=15.0)
    assert blank(PanelChoice(panel="hood"), allowance) == (1210, 1460)


def test_a_part_of_a_millimetre_is_rounded_up():
    assert blank_side_mm(panel_mm=100.2, wrap_mm=0, hold_mm=0).value == 101
    # 20 x 25.4 mm is 508 mm exactly, whatever the float says.
    assert blank_side_mm(panel_mm=20 * 25.4, wrap_mm=0, hold_mm=0).value == 508


def test_the_defaults_lie_inside_common_practice():
    # Usual edge wrap and handling margin a side; common practice, no published source.
    assert 6 <= BY_HAND.wrap_length_mm <= 15
    assert 50 <= BY_HAND.hold_width_mm <= 75


def test_a_measured_panel_wins_and_the_sheet_says_so():
    measured = PanelSize(
        length_mm=1110, width_mm=1500, basis="measured", note="car 12 of 2024"
    )
    size = panel_size(
        "hood", size_class="C", body=Body.SEDAN, measured={"hood": measured}
    )
    made = panel_blank(
        PanelChoice(panel="hood"),
        size=size,
        body=Body.SEDAN,
        allowance=BY_HAND,
    )
    assert made.length_mm.value == 1250
    assert str(made.basis) == "hood: measured on car 12 of 2024."


def test_without_a_measurement_the_class_template_is_used_and_named():
    size = panel_size("hood", size_class="C", body=Body.SEDAN, measured={})
    assert (size.length_mm, size.width_mm, size.basis) == (1060, 1440, "template")


def test_a_two_door_body_has_longer_doors():
    two = template_size("front_door_left", size_class="S", body=Body.COUPE)
    four = template_size("front_door_left", size_class="S", body=Body.SEDAN)
    assert two.length_mm > four.length_mm


@pytest.mark.parametrize("body", Body)
@pytest.mark.parametrize("size_class", size_classes())
def test_every_panel_of_every_body_and_class_has_a_template(size_class, body):
    for panel in panels_on(body):
        size = template_size(panel.code, size_class=size_class, body=body)
        assert min(size.length_mm, size.width_mm) >= 20
        assert max(size.length_mm, size.width_mm) <= 2600


def test_a_40_mm_hood_was_measured_in_inches():
    problem = size_problem(
        "hood", length_mm=40, width_mm=57, size_class="C", body=Body.SEDAN
    )
    assert str(problem) == (
        "hood of 40 × 57 mm: was that measured in inches? Such a panel is about "
        "1060 mm × 1440 mm."
    )


def test_an_1060_inch_hood_was_measured_in_millimetres():
    problem = size_problem(
        "hood",
        length_mm=1060 * 25.4,
        width_mm=1440 * 25.4,
        size_class="C",
        body=Body.SEDAN,
        unit="in",
    )
    assert str(problem).startswith(
        "hood of 1060 × 1440 in: was that measured in millimetres?"
    )


def test_a_hood_of_106_mm_was_measured_in_centimetres():
    problem = size_problem(
        "hood", length_mm=106, width_mm=144, size_class="C", body=Body.SEDAN
    )
    assert "was that measured in centimetres?" in str(problem)


def test_inches_are_not_asked_for_where_inches_were_typed():
    problem = size_problem(
        "hood", length_mm=40, width_mm=57, size_class="C", body=Body.SEDAN, unit="in"
    )
    assert "cannot be right" in str(problem)


def test_one_side_in_inches_cannot_be_right():
    problem = size_problem(
        "hood", length_mm=40, width_mm=1440, size_class="C", body=Body.SEDAN
    )
    assert "cannot be right" in str(problem)


@pytest.mark.parametrize("side", [0, -5, math.nan, math.inf])
def test_a_side_of_nothing_is_refused(side):
    problem = size_problem(
        "hood", length_mm=side, width_mm=1440, size_class="C", body=Body.SEDAN
    )
    assert str(problem) == "hood: both sides must be above 0."


@for_all(
    code=st.sampled_from(list(panels())),
    size_class=st.sampled_from(list(size_classes())),
)
def test_a_template_is_itself_plausible_and_not_in_inches(code, size_class):
    body = Body.SEDAN
    size = template_size(code, size_class=size_class, body=body)
    length, width = size.length_mm, size.width_mm
    for divisor, right in ((1, True), (25.4, False)):
        problem = size_problem(
            code,
            length_mm=length / divisor,
            width_mm=width / divisor,
            size_class=size_class,
            body=body,
        )
        assert (problem is None) is right


@pytest.mark.parametrize("wrong", [{"panel_mm": 0}, {"wrap_mm": -1}, {"hold_mm": -1}])
def test_impossible_sides_are_errors(wrong):
    with pytest.raises(ValueError, match=r"above 0|negative"):
        blank_side_mm(**({"panel_mm": 100, "wrap_mm": 0, "hold_mm": 0} | wrong))


@pytest.mark.parametrize("name", ["blank_side_mm", "film_area_m2"])
def test_blank_figures_open_to_formula_and_source(name):
    explained = explain(f"jobs.coverage.blanks.{name}")
    assert explained.formula
    assert explained.source


def test_the_area_is_what_stays_on_the_car():
    # By hand: 1.060 x 1.440 m = 1.5264 m2, twice.
    assert film_area_m2([HOOD, HOOD]).value == pytest.approx(3.0528)


@for_all(
    panel=st.floats(1, 3000),
    wrap=st.floats(0, 15),
    hold=st.floats(0, 75),
    more=st.floats(0, 20),
)
def test_a_blank_covers_its_panel_and_grows_with_the_allowance(panel, wrap, hold, more):
    small = blank_side_mm(panel_mm=panel, wrap_mm=wrap, hold_mm=hold).value
    large = blank_side_mm(panel_mm=panel, wrap_mm=wrap + more, hold_mm=hold).value
    assert panel - 1e-6 <= small <= large
    assert isinstance(small, int)
