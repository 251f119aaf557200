"""The drawn car: every panel of every body, states without colour, plain attributes."""

import re
from xml.etree import ElementTree

import pytest
from hypothesis import given as for_all
from hypothesis import settings
from hypothesis import strategies as st

from jobs.coverage.car_drawing import WORDS, DrawnPanel, PanelState, car_svg
from jobs.coverage.catalogue import (
    PART_OF,
    Badge,
    Body,
    Edge,
    Package,
    Seam,
    package_panels,
    panels_on,
)

SVG = "{http://www.w3.org/2000/svg}"
NUMBER = re.compile(r"-?\d+(?:\.\d+)?")


def drawn(body=Body.SEDAN, *panels, **options):
    svg = car_svg(body=body, panels=panels, title="Car 12", **options)
    return ElementTree.fromstring(svg)


def panel_groups(root):
    return {
        group.get("id").removeprefix("car-"): group
        for group in root.iter(f"{SVG}g")
        if (group.get("class") or "").startswith("panel")
    }


@pytest.mark.parametrize("body", Body)
def test_every_panel_of_a_body_is_a_shape_with_a_title(body):
    groups = panel_groups(drawn(body))
    assert set(groups) == {panel.code for panel in panels_on(body)}
    for group in groups.values():
        assert group.find(f"{SVG}title").text
        assert group.findall(f"{SVG}path")


@pytest.mark.parametrize("body", Body)
def test_every_shape_lies_inside_the_picture(body):
    root = drawn(body, with_legend=False)
    left, top, width, height = (float(n) for n in root.get("viewBox").split())
    for path in root.iter(f"{SVG}path"):
        if "A" in path.get("d") or "a" in path.get("d"):
            continue  # an arc's radii are no places
        numbers = [float(n) for n in NUMBER.findall(path.get("d"))]
        for x, y in zip(numbers[::2], numbers[1::2], strict=True):
            assert left <= x <= left + width
            assert abs(y) <= height / 2 == -top


@pytest.mark.parametrize("body", Body)
def test_left_and_right_are_mirror_images(body):
    groups = panel_groups(drawn(body))
    for code, group in groups.items():
        if code.endswith("_left"):
            other = groups[code.removesuffix("_left") + "_right"]
            paths = [p.get("d") for p in group.iter(f"{SVG}path")]
            assert [p.get("d") for p in other.iter(f"{SVG}path")] == paths
            mirrors = {p.get("transform") for p in other.iter(f"{SVG}path")}
            assert mirrors == {"scale(1,-1)"}


def test_a_two_door_car_is_drawn_without_rear_doors():
    assert not any("rear_door" in code for code in panel_groups(drawn(Body.COUPE)))


def test_only_presentation_attributes_are_used():
    everything = [
        DrawnPanel(panel=code, badge=Badge.OFF, seam=Seam.SEAM)
        for code in package_panels(Package.FULL_VEHICLE, body=Body.SUV)
    ]
    root = drawn(Body.SUV, *everything)
    assert not list(root.iter(f"{SVG}style"))
    assert not list(root.iter(f"{SVG}script"))
    assert not [el for el in root.iter() if "style" in el.attrib]


@pytest.mark.parametrize("state", PanelState)
def test_a_state_is_a_class_a_pattern_a_letter_and_a_word(state):
    root = drawn(Body.SEDAN, DrawnPanel(panel="hood", state=state), with_legend=False)
    hood = panel_groups(root)["hood"]
    assert hood.get("class").split() == ["panel", state, "wrapped"]
    assert hood.get("fill") == f"url(#car-{state})"
    assert WORDS[state] in hood.find(f"{SVG}title").text
    signs = [g for g in root.iter(f"{SVG}g") if g.get("class") == "signs"]
    assert len(signs) == 1


def test_each_state_has_its_own_pattern_and_sign_without_the_tone():
    seen = set()
    for state in PanelState:
        root = drawn(Body.SEDAN, DrawnPanel(panel="hood", state=state))
        (pattern,) = [
            p for p in root.iter(f"{SVG}pattern") if p.get("id") == f"car-{state}"
        ]
        group = pattern.find(f"{SVG}g")
        mark = ElementTree.tostring(group[0], encoding="unicode")
        (signs,) = [g for g in root.iter(f"{SVG}g") if g.get("class") == "signs"]
        letters = tuple(t.text for t in signs.iter(f"{SVG}text"))
        seen.add((pattern.get("width"), mark, letters))
    assert len(seen) == len(PanelState)
    assert len({(width, mark) for width, mark, _ in seen}) == len(PanelState)


def test_a_wrapped_edge_is_a_heavy_line_and_a_short_one_is_broken():
    groups = panel_groups(
        drawn(
            Body.SEDAN,
            DrawnPanel(panel="hood", edge=Edge.WRAPPED),
            DrawnPanel(panel="roof", edge=Edge.CUT_SHORT),
        )
    )
    assert groups["hood"].get("stroke-dasharray") is None
    assert groups["roof"].get("stroke-dasharray")


def test_badge_and_seam_are_said_in_the_title_and_drawn_beside_the_letter():
    plain = drawn(Body.SEDAN, DrawnPanel(panel="hood"), with_legend=False)
    root = drawn(
        Body.SEDAN,
        DrawnPanel(panel="hood", badge=Badge.CUT_ROUND, seam=Seam.RELIEF),
        with_legend=False,
    )
    title = panel_groups(root)["hood"].find(f"{SVG}title").text
    assert title == "hood, chosen, edge wrapped, badge cut round, relief"
    more = len(list(root.iter(f"{SVG}circle"))) - len(list(plain.iter(f"{SVG}circle")))
    assert more == 2


def test_the_legend_explains_only_what_is_used():
    root = drawn(Body.SEDAN, DrawnPanel(panel="hood", state=PanelState.LAID))
    (legend,) = [g for g in root.iter(f"{SVG}g") if g.get("class") == "legend"]
    words = {t.text for t in legend.iter(f"{SVG}text")} - {"L"}
    assert words == {"laid", "edge wrapped"}


def test_a_part_is_not_drawn_over_the_whole_panel_that_is_filmed():
    assert "partial_hood" not in panel_groups(
        drawn(Body.SEDAN, DrawnPanel(panel="hood"))
    )
    order = list(panel_groups(drawn(Body.SEDAN, DrawnPanel(panel="partial_hood"))))
    assert order.index("partial_hood") > order.index("hood")


def test_a_panel_that_the_body_lacks_is_an_error():
    with pytest.raises(ValueError, match="coupe has no rear_door_left"):
        drawn(Body.COUPE, DrawnPanel(panel="rear_door_left"))


def test_what_a_person_typed_cannot_break_out_of_the_drawing():
    svg = car_svg(body=Body.SEDAN, panels=[], title='<script>"&', prefix='a"b')
    root = ElementTree.fromstring(svg)
    assert root.find(f"{SVG}title").text == '<script>"&'


def test_two_cars_in_a_page_share_no_id():
    first = {el.get("id") for el in drawn(prefix="a").iter() if el.get("id")}
    second = {el.get("id") for el in drawn(prefix="b").iter() if el.get("id")}
    assert not first & second


def test_words_can_be_translated():
    words = dict(WORDS) | {"laid": "verlegt"}
    root = drawn(
        Body.SEDAN, DrawnPanel(panel="hood", state=PanelState.LAID), words=words
    )
    assert "verlegt" in panel_groups(root)["hood"].find(f"{SVG}title").text


@settings(max_examples=40)
@for_all(body=st.sampled_from(Body), data=st.data())
def test_any_coverage_gives_a_picture_with_each_id_once(body, data):
    codes = [panel.code for panel in panels_on(body)]
    panels = [
        DrawnPanel(
            panel=code,
            state=data.draw(st.sampled_from(PanelState)),
            edge=data.draw(st.sampled_from(Edge)),
            badge=data.draw(st.sampled_from(Badge)),
            seam=data.draw(st.sampled_from(Seam)),
        )
        for code in data.draw(st.lists(st.sampled_from(codes), unique=True, max_size=6))
    ]
    root = drawn(body, *panels)
    ids = [el.get("id") for el in root.iter() if el.get("id")]
    assert len(ids) == len(set(ids))
    assert {p.panel for p in panels} <= set(panel_groups(root))


def test_every_part_lies_on_a_panel_that_is_drawn():
    kinds = {panel.kind for panel in panels_on(Body.SEDAN)}
    assert set(PART_OF) <= kinds
    assert set(PART_OF.values()) <= kinds
