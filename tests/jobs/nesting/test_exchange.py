"""Blanks that change bands: knife-cuttable, never longer, exact within a band."""

from itertools import permutations

from hypothesis import given, settings
from hypothesis import strategies as st

from jobs.nesting.exchange import _Shapes, exchange, is_for
from jobs.nesting.knife import is_guillotine
from jobs.nesting.search import Strip, quick

sides = st.integers(1, 60)


@st.composite
def strips(draw, most=9):
    count = draw(st.integers(2, most))
    return Strip(
        sizes=tuple((draw(sides), draw(sides)) for _ in range(count)),
        may_turn=tuple(draw(st.booleans()) for _ in range(count)),
        width=60,
        height=10_000,
        knife=True,
    )


def boxes(strip, packing):
    found = []
    for i, x, y, turned in packing.placed:
        w, h = strip.sizes[i][::-1] if turned else strip.sizes[i]
        found.append((x, y, x + w, y + h))
    return found


@settings(deadline=None, max_examples=60)
@given(strip=strips(), seed=st.integers(0, 50))
def test_the_plan_stays_cuttable_apart_and_is_never_longer(strip, seed):
    start = quick(strip)
    found = exchange(strip, start, bound=0, tries=20, seed=seed, deadline=float("inf"))
    lain = boxes(strip, found)
    assert found.top <= start.top
    assert max(far for _, _, _, far in lain) <= found.top
    assert all(x >= 0 and right <= 60 for x, _, right, _ in lain)
    assert sorted(i for i, *_ in found.placed) == list(range(len(strip.sizes)))
    assert all(strip.may_turn[i] or not turned for i, _, _, turned in found.placed)
    assert not any(
        a[0] < b[2] and b[0] < a[2] and a[1] < b[3] and b[1] < a[3]
        for at, a in enumerate(lain)
        for b in lain[:at]
    )
    assert is_guillotine(lain)


def shortest_cut(sizes, width):
    """Shortest knife plan of three blanks as they lie, every way written out."""
    best = sum(h for _, h in sizes)
    for (w1, h1), (w2, h2), (w3, h3) in permutations(sizes):
        ways = [
            (w1 + w2 + w3, max(h1, h2, h3)),
            (max(w1 + w2, w3), max(h1, h2) + h3),
            (w1 + max(w2, w3), max(h1, h2 + h3)),
        ]
        best = min([best, *(h for w, h in ways if w <= width)])
    return best


@given(sizes=st.lists(st.tuples(sides, sides), min_size=3, max_size=3))
def test_a_band_of_three_is_as_short_as_every_way_written_out(sizes):
    strip = Strip(
        sizes=tuple(sizes), may_turn=(False,) * 3, width=60, height=999, knife=True
    )
    assert _Shapes(strip).length(0b111) == shortest_cut(sizes, 60)


def test_it_finds_the_two_bands_that_fit_exactly():
    # Two bands of 100 x 700 cut apart by hand; sorted orders mix them up.
    sizes = ((60, 700), (40, 300), (40, 400), (70, 500), (30, 700), (70, 200))
    strip = Strip(
        sizes=sizes, may_turn=(False,) * 6, width=100, height=9999, knife=True
    )
    found = exchange(
        strip, quick(strip), bound=1400, tries=4000, seed=1, deadline=float("inf")
    )
    assert found.top == 1400


def test_equal_seeds_give_equal_plans():
    sizes = tuple((20 + 7 * i % 41, 500 + 13 * i % 97) for i in range(12))
    strip = Strip(
        sizes=sizes, may_turn=(True,) * 12, width=90, height=99_999, knife=True
    )
    one, other = (
        exchange(strip, quick(strip), bound=0, tries=200, seed=4, deadline=1e18)
        for _ in range(2)
    )
    assert one == other


def test_a_free_strip_and_many_small_blanks_are_not_for_it():
    few = Strip(sizes=((50, 701),) * 4, may_turn=(False,) * 4, width=60, knife=True)
    many = Strip(sizes=((5, 701),) * 24, may_turn=(False,) * 24, width=60, knife=True)
    free = Strip(sizes=few.sizes, may_turn=few.may_turn, width=60)
    assert is_for(few, quick(few))
    assert not is_for(many, quick(many))
    assert not is_for(free, quick(free))
