"""Pictograms and the vapour plot: well-formed drawings that say what they show."""

from __future__ import annotations

from xml.etree import ElementTree as ET

import pytest

from mixing.safety.pictograms import PICTOGRAMS, pictogram_svg
from mixing.safety.vapour_plot import SCREEN_PLOT, vapour_plot_svg

SVG = "{http://www.w3.org/2000/svg}"
CURVE = [(0.0, 0.0), (60.0, 150.0), (120.0, 40.0)]


def plot(points=CURVE, limit_ppm=200.0, session_min=60.0):
    return ET.fromstring(
        vapour_plot_svg(
            points,
            limit_ppm=limit_ppm,
            session_min=session_min,
            title="Vapor <here>",
            limit_label="limit",
            end_label="end",
        )
    )


def heights(root):
    line = root.find(f"{SVG}polyline")
    return [float(pair.split(",")[1]) for pair in line.get("points").split()]


@pytest.mark.parametrize("code", PICTOGRAMS)
def test_a_pictogram_is_a_red_square_on_its_point_with_a_black_symbol(code):
    # GHS, rev. 10 (2023), 1.4.10.4.2.2 (from memory): black symbol on white, red
    # frame, a square set at a point.
    root = ET.fromstring(pictogram_svg(code))
    frame, symbol = root.find(f"{SVG}path"), root.find(f"{SVG}g")
    assert frame.get("d") == "M50 3 L97 50 L50 97 L3 50 Z"
    assert frame.get("fill") == "#ffffff"
    red, green, blue = (int(frame.get("stroke")[at : at + 2], 16) for at in (1, 3, 5))
    assert red > 180
    assert max(green, blue) < 60
    assert symbol.get("fill") == "#000000"
    assert root.get("aria-label") == PICTOGRAMS[code]


def test_no_pictogram_for_what_we_do_not_know():
    with pytest.raises(LookupError):
        pictogram_svg("GHS01")


def test_more_vapour_stands_higher():
    bottom, peak, after = heights(plot())
    assert peak < after < bottom < SCREEN_PLOT.height


def test_the_curve_and_the_limit_stay_inside_the_frame():
    for limit in (None, 10.0, 200.0, 5000.0):
        low, *rest = heights(plot(limit_ppm=limit))
        assert all(0 < y <= low for y in rest)


def test_the_limit_is_drawn_only_where_there_is_one():
    texts = ["".join(text.itertext()) for text in plot().iter(f"{SVG}text")]
    assert "limit 200 ppm" in texts
    assert "150 ppm" in texts
    without = [text.text for text in plot(limit_ppm=None).iter(f"{SVG}text")]
    assert not [text for text in without if "limit" in text]


def test_one_point_is_no_curve():
    with pytest.raises(ValueError, match="two points"):
        plot([(0.0, 1.0)])


def test_an_endless_job_still_has_ticks():
    assert plot([(0.0, 0.0), (9000.0, 5.0)], session_min=None) is not None
