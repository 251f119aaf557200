import math
import xml.etree.ElementTree as ET
from itertools import combinations, pairwise

import pytest

from jobs.nesting import Budget, Offcut, Rules, plan_pull
from jobs.nesting.drawing import draw_plan
from jobs.nesting.pen import RADIUS
from shopapp.units import System
from tests.jobs.nesting.jobs_at_random import blank, roll

SVG = "{http://www.w3.org/2000/svg}"
BLANKS = [
    blank("hood", 1400, 1100),
    blank("fender <left>", 800, 640, turn="quarter"),
    blank("mirror", 300, 250),
]


def drawn(cut="guillotine", blanks=BLANKS, **more):
    job = {
        "blanks": blanks,
        "rolls": [roll(remaining_mm=40_000)],
        "offcuts": [Offcut(id="K1", width_mm=320, length_mm=300)],
    }
    plan = plan_pull(**job, rules=Rules(cut=cut, lead_mm=20), budget=Budget(tries=0))
    return plan, draw_plan(plan, **job, **more)


def texts(drawing):
    return ["".join(one.itertext()) for one in ET.fromstring(drawing.svg).iter()]


@pytest.mark.parametrize("cut", ["free", "guillotine"])
def test_a_drawing_has_a_title_and_no_style(cut):
    _, drawings = drawn(cut)
    for drawing in drawings:
        root = ET.fromstring(drawing.svg)
        assert root[0].tag == f"{SVG}title"
        assert root[0].text.startswith(("Pull from roll R1", "Off-cut K1"))
        assert not any("style" in one.attrib for one in root.iter())
        assert not list(root.iter(f"{SVG}style"))


def test_every_blank_is_drawn_to_scale():
    plan, drawings = drawn()
    roots = [ET.fromstring(drawing.svg) for drawing in drawings]
    rects = [
        (float(r.get("width")), float(r.get("height")))
        for root in roots
        for r in root.iter(f"{SVG}rect")
        if r.get("class") == "cutlist-blank"
    ]
    assert len(rects) == len(plan.placements)
    hood = max(rects)
    assert hood[0] / hood[1] == pytest.approx(1100 / 1400, abs=0.01)


def test_every_cut_carries_its_number():
    plan, drawings = drawn()
    written = [text for drawing in drawings for text in texts(drawing)]
    assert {str(cut.number) for cut in plan.cuts} <= set(written)


def test_names_are_written_as_text_and_never_as_markup():
    _, drawings = drawn(names={"hood": "hood & <b>grille</b>"})
    assert any("hood & <b>grille</b>" in text for text in texts(drawings[0]))


def test_the_key_names_every_blank_with_its_size():
    plan, drawings = drawn()
    key = [row for drawing in drawings for row in drawing.key]
    assert ("A", "hood", "1400 × 1100 mm") in key
    assert len(key) == len(plan.placements)


def test_sizes_follow_the_units_of_the_shop():
    _, drawings = drawn(system=System.US)
    assert drawings[0].key[0][2] == "55.1 × 43.3 in"


def test_a_long_pull_is_drawn_in_rows():
    many = [blank(f"panel {number}", 1400, 900) for number in range(14)]
    _, drawings = drawn(blanks=many)
    assert len(drawings[0].rows) == 3
    assert all(ET.fromstring(row).tag == f"{SVG}svg" for row in drawings[0].rows)


def rings(svg):
    """(x, y, number) of every ring: its text follows it."""
    parts = list(ET.fromstring(svg).iter())
    return [
        (float(one.get("cx")), float(one.get("cy")), "".join(text.itertext()))
        for one, text in pairwise(parts)
        if one.tag == f"{SVG}circle" and text.tag == f"{SVG}text"
    ]


def test_no_number_of_a_cut_lies_on_another():
    """Seven small blanks in a row of a hood: their cuts lie close together."""
    small = [blank(f"cup {number}", 180 + 7 * number, 190) for number in range(7)]
    _, drawings = drawn(blanks=[*BLANKS, *small, blank("door", 1500, 900)])
    for drawing in drawings:
        for row in drawing.rows:
            for one, other in combinations(rings(row), 2):
                apart = math.dist(one[:2], other[:2])
                assert apart >= 1.4 * RADIUS, (one, other)


def test_a_row_ends_at_a_cut_right_across():
    many = [blank(f"panel {number}", 1400, 900) for number in range(14)]
    plan, drawings = drawn(blanks=many)
    across = {cut.y1_mm for cut in plan.cuts if cut.x2_mm - cut.x1_mm == 1524}
    ends = [
        max(int(t) for t in texts_of(row) if t.isdigit() and int(t) > 100)
        for row in drawings[0].rows[:-1]
    ]
    assert set(ends) <= across


def texts_of(svg):
    return ["".join(one.itertext()) for one in ET.fromstring(svg).iter(f"{SVG}text")]


def test_a_very_small_blank_still_carries_its_letter():
    small = [blank("cup", 90, 110), blank("roof", 1400, 3900)]
    _, (drawing, *_rest) = drawn("free", blanks=small)
    (letter,) = [letter for letter, name, _size in drawing.key if name == "cup"]
    assert letter in [text.strip() for text in texts(drawing)]


def test_a_blank_that_goes_on_in_the_next_row_says_so_and_is_left_open():
    long = [blank("sill", 180, 5600), blank("roof", 1300, 5600)]
    _, (drawing, *_rest) = drawn("free", blanks=long)
    assert len(drawing.rows) == 2
    assert {"A roof …", "… A roof"} <= set(texts(drawing))
    edges = [
        one
        for one in ET.fromstring(drawing.svg).iter(f"{SVG}path")
        if one.get("class") == "cutlist-edge"
    ]
    assert {one.get("d").count("M") for one in edges} == {3}


def test_numbers_under_two_close_marks_do_not_lie_on_a_tick():
    """The end of the last blank and the end of the pull are 20 mm apart."""
    _, (drawing, *_rest) = drawn(blanks=[blank("roof", 1500, 4780)])
    root = ET.fromstring(drawing.svg)
    ticks = [
        (float(one.get("x1")), float(one.get("y2")))
        for one in root.iter(f"{SVG}line")
        if one.get("class") == "cutlist-rule" and one.get("x1") == one.get("x2")
    ]
    for number in root.iter(f"{SVG}text"):
        if number.text not in ("4780", "4800") or number.get("transform"):
            continue
        x, y = float(number.get("x")), float(number.get("y"))
        half = len(number.text) * 15 * 0.55 / 2
        assert not any(abs(x - at) < half and end > y - 8 for at, end in ticks)
