from hypothesis import given, settings

from jobs.nesting import Budget, Rules, plan_pull
from jobs.nesting.knife import dissect, is_guillotine
from tests.jobs.nesting.jobs_at_random import blank, blank_lists, roll

PINWHEEL = [(0, 0, 2, 1), (2, 0, 3, 2), (1, 2, 3, 3), (0, 1, 1, 3)]


def test_a_pinwheel_cannot_be_cut_from_side_to_side():
    assert not is_guillotine(PINWHEEL)


def test_a_pinwheel_less_one_blank_can_be_cut():
    assert is_guillotine(PINWHEEL[:3])


def test_the_first_cuts_go_across_the_whole_roll():
    lines, _ = dissect(
        [(0, 0, 9, 4), (0, 4, 5, 9), (5, 4, 9, 9)], sheet=(0, 0, 10, 10), gap=0
    )
    assert lines[:2] == [("across", 0, 4, 10, 4), ("across", 0, 9, 10, 9)]


def test_what_cuts_leave_over_is_named():
    _, spare = dissect([(0, 0, 6, 4)], sheet=(0, 0, 10, 7), gap=0)
    assert spare == [(0, 4, 10, 7), (6, 0, 10, 4)]


def test_a_gap_is_left_on_and_not_trimmed():
    lines, _ = dissect([(0, 0, 5, 4), (6, 0, 11, 4)], sheet=(0, 0, 11, 4), gap=1)
    assert lines == [("along", 5, 0, 5, 4)]


@settings(deadline=None, max_examples=50)
@given(blanks=blank_lists(side=30))
def test_following_the_cuts_in_order_frees_every_blank(blanks):
    """Do as the list says: each cut must run from side to side of one piece."""
    plan = plan_pull(
        blanks=blanks,
        rolls=[
            roll("RF", width_mm=40, film_code="F"),
            roll("RG", width_mm=40, film_code="G"),
        ],
        offcuts=[],
        rules=Rules(cut="guillotine", lead_mm=2),
        budget=Budget(tries=20),
    )
    pieces = {(p.roll_id, 0, 0, 40, p.length_mm) for p in plan.pulls}
    for cut in plan.cuts:
        whole = [piece for piece in pieces if _parted(piece, cut)]
        assert len(whole) == 1
        pieces -= set(whole)
        pieces |= set(_parted(whole[0], cut))
    sizes = {b.id: (b.width_mm, b.length_mm) for b in blanks}
    for name, source, x, y, turned in plan.placements:
        w, h = sizes[name][::-1] if turned else sizes[name]
        assert (source, x, y, x + w, y + h) in pieces


def _parted(piece, cut):
    """Both halves of a piece if the cut runs exactly from side to side of it."""
    source, x1, y1, x2, y2 = piece
    if source != cut.source_id:
        return []
    across = cut.way == "across"
    if across and (cut.x1_mm, cut.x2_mm) == (x1, x2) and y1 < cut.y1_mm < y2:
        return [(source, x1, y1, x2, cut.y1_mm), (source, x1, cut.y1_mm, x2, y2)]
    if not across and (cut.y1_mm, cut.y2_mm) == (y1, y2) and x1 < cut.x1_mm < x2:
        return [(source, x1, y1, cut.x1_mm, y2), (source, cut.x1_mm, y1, x2, y2)]
    return []


def test_cuts_are_numbered_in_one_row_over_all_films():
    blanks = [blank("a", 500, 400, film_code="F"), blank("b", 500, 400, film_code="G")]
    plan = plan_pull(
        blanks=blanks,
        rolls=[roll("RF", film_code="F"), roll("RG", film_code="G")],
        offcuts=[],
        rules=Rules(cut="guillotine", lead_mm=10),
        budget=Budget(tries=0),
    )
    assert [cut.number for cut in plan.cuts] == [1, 2, 3, 4]
