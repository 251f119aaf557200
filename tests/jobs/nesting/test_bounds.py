import json
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from jobs.nesting.barbound import bar_worths
from jobs.nesting.bounds import quick_bound_mm
from tests.jobs.nesting.jobs_at_random import blank_lists, shortest_by_brute_force

CASES = Path(__file__).parents[2] / "cases" / "rectangles.json"
PUBLISHED = {
    case["id"]: case
    for case in json.loads(CASES.read_text())["instances"]
    if case["n"] <= 80
}


@pytest.mark.parametrize("case", PUBLISHED.values(), ids=PUBLISHED.keys())
def test_no_bound_is_above_a_published_length(case):
    """Sources stand in the case file, instance by instance."""
    sizes = [tuple(item) for item in case["items"]]
    strip = {
        "sizes": sizes,
        "may_turn": [False] * len(sizes),
        "width_mm": case["strip_width"],
    }
    quick = quick_bound_mm(**strip)
    bar, _ = bar_worths(**strip, deadline=float("inf"))
    assert case["area_bound"] <= quick <= bar <= case["known"]


@pytest.mark.parametrize(("name", "known"), [("GCUT1", 1016), ("GCUT3", 1803)])
def test_the_bar_bound_proves_what_the_area_bound_cannot(name, known):
    """Lengths proved optimal for these two: source in the case file."""
    case = PUBLISHED[name]
    sizes = [tuple(item) for item in case["items"]]
    bar, _ = bar_worths(
        sizes=sizes,
        may_turn=[False] * len(sizes),
        width_mm=case["strip_width"],
        deadline=float("inf"),
    )
    assert case["area_bound"] < bar == known


@settings(deadline=None, max_examples=60)
@given(blanks=blank_lists(most=4, side=6), width=st.integers(6, 8))
def test_no_bound_is_above_the_brute_force_optimum(blanks, width):
    strip = {
        "sizes": [(b.width_mm, b.length_mm) for b in blanks],
        "may_turn": [b.turn == "quarter" for b in blanks],
        "width_mm": width,
    }
    optimum = shortest_by_brute_force(blanks, width)
    assert quick_bound_mm(**strip) <= optimum
    assert bar_worths(**strip, deadline=float("inf"))[0] <= optimum
