"""Tables carry their sources, or they do not load."""

from __future__ import annotations

import pytest

from mixing import tables
from mixing.chemistry.curve import MonotoneCurve, straight_lines
from tests.cases import rows


@pytest.mark.parametrize("name", sorted(tables.FILES))
def test_every_row_of_every_table_names_its_source(name):
    assert tables.table(name)


@pytest.fixture
def own_table(tmp_path, monkeypatch):
    monkeypatch.setitem(tables.FILES, "own", tmp_path / "own.csv")
    tables.table.cache_clear()
    yield lambda text: (tmp_path / "own.csv").write_text(text, encoding="utf-8")
    tables.table.cache_clear()


def test_row_without_a_source_is_refused(own_table):
    own_table("# note\nvalue,source\n1,handbook\n2,\n")
    with pytest.raises(ValueError, match=r"row 2 of own\.csv names no source"):
        tables.table("own")


def test_row_of_the_wrong_length_is_refused(own_table):
    own_table("value,source\n1,handbook,more\n")
    with pytest.raises(ValueError, match=r"row 1 of own\.csv has the wrong length"):
        tables.table("own")


def test_row_of_a_table_cannot_be_changed(own_table):
    own_table("value,source\n1,handbook\n")
    with pytest.raises(TypeError):
        tables.table("own")[0]["value"] = "2"  # type: ignore[index]


def test_unknown_constant_is_named():
    with pytest.raises(LookupError, match="holds no speed_of_light"):
        tables.constant("speed_of_light")


def test_every_case_table_names_its_sources():
    names = [path.stem for path in sorted((rows.__globals__["HERE"]).glob("*.csv"))]
    assert "density" in names
    assert all(rows(name) for name in names)


def test_curve_keeps_between_its_points():
    # A step: an ordinary cubic spline would overshoot it by a tenth.
    curve = MonotoneCurve(x=(0, 1, 2, 3), y=(0, 0, 1, 1))
    heights = [curve(at / 50) for at in range(151)]
    assert heights == sorted(heights)
    assert (min(heights), max(heights)) == (0, 1)


def test_curve_has_the_published_slopes():
    # Fritsch and Butland 1984: 1/d = (w1/m1 + w2/m2) / (w1 + w2), w1 = 2 h2 + h1,
    # w2 = h2 + 2 h1; by hand for steps 1, 2, 1 and rises 1, 1/2, 3. Halfway a cubic
    # stands at the mean of its ends plus width / 8 of the difference of the slopes.
    curve = MonotoneCurve(x=(0, 1, 3, 4), y=(0, 1, 2, 5))
    left = (5 + 4) / (5 / 1 + 4 / 0.5)
    right = (4 + 5) / (4 / 0.5 + 5 / 3)
    assert curve(2) == pytest.approx(1.5 + 2 * (left - right) / 8)


def test_curve_runs_flat_beyond_its_ends():
    curve = MonotoneCurve(x=(0, 1, 2), y=(0, 1, 4))
    assert (curve(-1), curve(9)) == (0, 4)
    assert straight_lines(9, x=(0, 1), y=(2, 3)) == 3


def test_curve_out_of_order_is_refused():
    with pytest.raises(ValueError, match="from left to right"):
        MonotoneCurve(x=(0, 2, 1), y=(0, 1, 2))
