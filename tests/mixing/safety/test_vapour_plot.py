"""The small plot of vapour over a job."""

from __future__ import annotations

import re

import pytest

from mixing.safety.vapour_plot import PAPER_PLOT, SCREEN_PLOT, vapour_plot_svg


@pytest.mark.parametrize("last", [30, 60, 91, 120, 240, 480, 600])
@pytest.mark.parametrize("peak_at", [0.0, 0.5, 1.0])
@pytest.mark.parametrize("size", [PAPER_PLOT, SCREEN_PLOT])
def test_no_label_is_cut_off_at_the_edge(last, peak_at, size):
    points = [(0.0, 0.0), (last * peak_at, 1234.0), (float(last), 5.0)]
    svg = vapour_plot_svg(
        sorted(points),
        limit_ppm=200,
        session_min=30,
        title="t",
        limit_label="limit",
        end_label="end of the job",
        size=size,
    )
    found = re.findall(r'x="([\d.-]+)"[^>]*anchor="middle"[^>]*>([^<]+)<', svg)
    assert len(found) >= 2
    for x, text in found:
        # Half an em a sign is wider than digits are in a sans face.
        half = 0.5 * size.type * len(text) / 2
        assert half <= float(x) <= size.width - half + 0.05


def test_one_point_is_no_plot():
    with pytest.raises(ValueError, match="two points"):
        vapour_plot_svg(
            [(0, 0)],
            limit_ppm=None,
            session_min=None,
            title="",
            limit_label="",
            end_label="",
        )


@pytest.mark.parametrize("peak", [31.0, 190.0, 200.0, 210.0, 4000.0])
def test_axes_limit_and_peak_are_told_in_words_and_do_not_cover_each_other(peak):
    points = [(0.0, 0.0), (240.0, peak), (480.0, peak), (600.0, 1.0)]
    svg = vapour_plot_svg(
        points,
        limit_ppm=200,
        session_min=480,
        title="t",
        limit_label="limit",
        end_label="end of the job",
    )
    told = re.findall(r'y="([\d.-]+)"[^>]*>([^<]+)<', svg)
    words = [text for _, text in told]
    for text in ("ppm", "0", "limit 200 ppm", f"{peak:.0f} ppm", "end of the job"):
        assert text in words
    assert [text for text in words if text.endswith(" min")]
    height = {text: float(y) for y, text in told}
    apart = abs(height["limit 200 ppm"] - height[f"{peak:.0f} ppm"])
    assert apart >= SCREEN_PLOT.type
    assert all(0 <= y <= SCREEN_PLOT.height for y in height.values())


@pytest.mark.parametrize("last", [30, 91, 240, 480, 600, 1000])
@pytest.mark.parametrize("size", [PAPER_PLOT, SCREEN_PLOT])
def test_the_minutes_stand_clear_of_each_other(last, size):
    svg = vapour_plot_svg(
        [(0.0, 0.0), (float(last), 5.0)],
        limit_ppm=None,
        session_min=None,
        title="t",
        limit_label="limit",
        end_label="end",
        size=size,
    )
    below = f'y="{size.height - 0.4 * size.type:.1f}"'
    pattern = rf'x="([\d.]+)" {re.escape(below)}[^>]*>([^<]+)<'
    ticks = [(float(x), text) for x, text in re.findall(pattern, svg)]
    assert len(ticks) >= 2
    for (x, text), (after, then) in zip(ticks, ticks[1:], strict=False):
        half = 0.31 * size.type
        assert x + half * len(text) < after - half * len(then)
