"""What off-cuts can save at most is never below what they really save."""

from itertools import combinations

from hypothesis import given, settings
from hypothesis import strategies as st

from jobs.nesting import Budget, Offcut, Rules, plan_pull
from jobs.nesting.relief import most_saved
from tests.jobs.nesting.jobs_at_random import blank, roll, shortest_by_brute_force

sides = st.integers(1, 5)
sized = st.lists(
    st.tuples(sides, sides, st.booleans(), st.integers(0, 9)), min_size=1, max_size=4
)


@settings(max_examples=80, deadline=None)
@given(sized=sized, width=st.integers(2, 6), length=st.integers(2, 6))
def test_no_set_of_blanks_that_fits_an_offcut_is_worth_more(sized, width, length):
    blanks = [
        blank(f"b{n}", w, h, turn="quarter" if turn else "none")
        for n, (w, h, turn, _) in enumerate(sized)
        if w <= width or (turn and h <= width)
    ]
    worths = {f"b{n}": float(worth) for n, (*_, worth) in enumerate(sized)}
    most = most_saved(
        worths=[worths[b.id] for b in blanks],
        sizes=[(b.width_mm, b.length_mm) for b in blanks],
        may_turn=[b.turn == "quarter" for b in blanks],
        width_mm=width,
        length_mm=length,
    )
    for count in range(1, len(blanks) + 1):
        for some in combinations(blanks, count):
            if shortest_by_brute_force(some, width) <= length:
                assert sum(worths[b.id] for b in some) <= most + 1e-9


def test_an_offcut_for_a_mirror_does_not_excuse_the_hoods():
    """Two hoods that cannot lie side by side: the bound stays near their lengths."""
    plan = plan_pull(
        blanks=[
            blank("hood 1", 1400, 1100),
            blank("hood 2", 1400, 1000),
            blank("mirror", 300, 250),
        ],
        rolls=[roll()],
        offcuts=[Offcut(id="K1", width_mm=400, length_mm=300)],
        rules=Rules(),
        budget=Budget(tries=20),
    )
    assert plan.used_offcuts == ("K1",)
    assert (plan.length_mm, plan.bound_mm) == (2100, 2100)
    assert plan.proven
