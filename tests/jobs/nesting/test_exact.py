"""Few blanks cut by a knife: the plan is the shortest there is, and says so."""

import time
from itertools import combinations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from jobs.nesting import Budget, Rules, plan_pull
from jobs.nesting.exact import shortest_by_knife, splits
from jobs.nesting.search import Strip, quick
from tests.jobs.nesting.jobs_at_random import QUICK, blank, roll

KNIFE = Rules(cut="guillotine")
SEARCHED = Budget(tries=50, wall_s=30)


def every_shape(blanks):
    """All rectangles that slicing trees over these blanks make, none left out."""
    if len(blanks) == 1:
        one = blanks[0]
        shapes = {(one.width_mm, one.length_mm)}
        return shapes | (
            {(h, w) for w, h in shapes} if one.turn == "quarter" else shapes
        )
    found = set()
    for count in range(1, len(blanks)):
        for some in combinations(range(len(blanks)), count):
            ours = every_shape([blanks[i] for i in some])
            rest = every_shape([b for i, b in enumerate(blanks) if i not in some])
            for w1, h1 in ours:
                for w2, h2 in rest:
                    found.add((w1 + w2, max(h1, h2)))
                    found.add((max(w1, w2), h1 + h2))
    return found


sides = st.integers(1, 7)
few_blanks = st.lists(
    st.tuples(sides, sides, st.sampled_from(["none", "quarter"])),
    min_size=1,
    max_size=4,
)


@settings(max_examples=60, deadline=None)
@given(sizes=few_blanks, budget=st.sampled_from([QUICK, SEARCHED]))
def test_a_knife_plan_of_few_blanks_is_the_shortest_of_all_slicing_trees(sizes, budget):
    blanks = [blank(f"b{n}", w, h, turn=turn) for n, (w, h, turn) in enumerate(sizes)]
    shortest = min(h for w, h in every_shape(blanks) if w <= 9)
    plan = plan_pull(
        blanks=blanks, rolls=[roll(width_mm=9)], rules=KNIFE, budget=budget
    )
    assert plan.length_mm == shortest
    assert plan.knife_best
    assert plan.bound_mm <= shortest


@pytest.mark.parametrize("budget", [QUICK, SEARCHED])
def test_the_price_of_the_knife_is_known_where_only_a_plotter_can_do_it(budget):
    """Four blanks round a fifth: 3 long freely, and no knife can part that."""
    wheel = [(2, 1), (1, 2), (2, 1), (1, 2), (1, 1)]
    job = {
        "blanks": [blank(f"b{n}", w, h) for n, (w, h) in enumerate(wheel)],
        "rolls": [roll(width_mm=3)],
    }
    free = plan_pull(**job, rules=Rules(cut="free"), budget=SEARCHED)
    by_knife = plan_pull(**job, rules=KNIFE, budget=budget)
    assert free.length_mm == 3
    assert (by_knife.length_mm, by_knife.bound_mm) == (4, 3)
    assert by_knife.knife_best
    assert not by_knife.proven


def test_equal_blanks_are_one_kind_of_work():
    pairs = Strip(
        sizes=((5, 7), (7, 5), (3, 4), (3, 4)), may_turn=(True,) * 4, width=10
    )
    fixed = Strip(sizes=pairs.sizes, may_turn=(False,) * 4, width=10)
    assert splits(pairs) < splits(fixed)


def test_when_the_clock_has_run_out_nothing_is_claimed():
    strip = Strip(
        sizes=((5, 7), (6, 5), (3, 4)), may_turn=(True,) * 3, width=10, knife=True
    )
    start = quick(strip)
    found = shortest_by_knife(strip, start, deadline=time.monotonic() - 1)
    assert found == start
    assert not found.knife_best


def test_with_many_blanks_nothing_is_claimed_of_the_knife():
    blanks = [blank(f"b{n}", 100 + 7 * n, 90 + 11 * n) for n in range(20)]
    plan = plan_pull(blanks=blanks, rolls=[roll()], rules=KNIFE, budget=QUICK)
    assert not plan.knife_best


def test_a_free_plan_says_nothing_of_the_knife():
    plan = plan_pull(
        blanks=[blank("hood", 5, 7)],
        rolls=[roll(width_mm=9)],
        rules=Rules(cut="free"),
        budget=QUICK,
    )
    assert not plan.knife_best
