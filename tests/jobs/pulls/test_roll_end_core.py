"""What a roll that ends did not reach (pure)."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from jobs.coverage.blanks import PanelBlank
from jobs.nesting import Roll
from jobs.pulls.plan import QUICK, PanelToCut, PullJob, plan_job
from jobs.pulls.roll_end import panels_beyond, panels_missing, pieces_there
from shopapp.figures import given as figure
from shopapp.say import say

SIDES = st.tuples(st.integers(120, 1400), st.integers(120, 1400))


def found_for(sizes):
    panels = tuple(
        PanelToCut(
            id=f"p{at}",
            panel=f"p{at}",
            name=f"panel {at}",
            group="W-1",
            blank=PanelBlank(
                panel=f"p{at}",
                length_mm=figure(length, "mm", "test"),
                width_mm=figure(width, "mm", "test"),
                basis=say("a test"),
            ),
            by_hand=True,
        )
        for at, (width, length) in enumerate(sizes)
    )
    rolls = (Roll(id="R1", width_mm=1524, remaining_mm=50_000),)
    job = PullJob(film_code="FA", may_turn=True, panels=panels, rolls=rolls, offcuts=())
    return plan_job(job, budget=QUICK)


@given(
    sizes=st.lists(SIDES, min_size=1, max_size=7),
    lengths=st.tuples(st.integers(0, 9000), st.integers(0, 9000)),
)
def test_the_shorter_the_film_the_more_is_missing(sizes, lengths):
    found = found_for(sizes)
    short, long = sorted(lengths)
    less = set(panels_beyond(found, roll_id="R1", length_mm=short))
    more = set(panels_beyond(found, roll_id="R1", length_mm=long))
    assert more <= less
    assert panels_beyond(found, roll_id="R1", length_mm=0) == found.job.panels
    whole = found.plan.length_mm
    assert panels_beyond(found, roll_id="R1", length_mm=whole) == ()
    assert panels_beyond(found, roll_id="another", length_mm=0) == ()


@given(sizes=st.lists(SIDES, min_size=1, max_size=7), length_mm=st.integers(0, 9000))
def test_what_is_not_missing_fits_in_the_film_that_was_there(sizes, length_mm):
    found = found_for(sizes)
    missing = {p.id for p in panels_missing(found, ended={"R1": length_mm})}
    blanks = {blank.id: blank for blank in found.job.blanks}
    for place in found.plan.placements:
        blank = blanks[place.blank_id]
        along = blank.width_mm if place.turned else blank.length_mm
        assert (place.y_mm + along > length_mm) == (place.blank_id in missing)
    pieces = found.plan.new_offcuts
    there = pieces_there(found, range(len(pieces)), ended={"R1": length_mm})
    for at, piece in enumerate(pieces):
        assert (at in there) == (piece.y_mm + piece.length_mm <= length_mm)
