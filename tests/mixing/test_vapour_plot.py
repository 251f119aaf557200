"""The small plot of vapour over a job."""

from __future__ import annotations

import re

import pytest

from mixing.vapour_plot import WIDTH, vapour_plot_svg


@pytest.mark.parametrize("last", [30, 60, 91, 120, 240, 480, 600])
@pytest.mark.parametrize("peak_at", [0.0, 0.5, 1.0])
def test_no_label_is_cut_off_at_the_edge(last, peak_at):
    points = [(0.0, 0.0), (last * peak_at, 1234.0), (float(last), 5.0)]
    svg = vapour_plot_svg(
        sorted(points), limit_ppm=200, session_min=30, title="t", limit_label="limit"
    )
    found = re.findall(r'x="([\d.-]+)"[^>]*anchor="middle"[^>]*>([^<]+)<', svg)
    assert len(found) >= 2
    for x, text in found:
        # Half an em a sign is wider than digits are in a sans face.
        half = 4 * len(text) / 2
        assert half <= float(x) <= WIDTH - half + 0.05


def test_one_point_is_no_plot():
    with pytest.raises(ValueError, match="two points"):
        vapour_plot_svg(
            [(0, 0)], limit_ppm=None, session_min=None, title="", limit_label=""
        )
