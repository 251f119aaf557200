"""Cuts in words: from the fresh end, and on the piece that the person holds."""

from __future__ import annotations

from hypothesis import given as for_all
from hypothesis import strategies as st

from jobs.nesting import Budget, Cut, Rules, plan_pull
from jobs.pulls.cut_words import Piece, cut_sentences, cuts_on_pieces
from tests.jobs.nesting.jobs_at_random import blank, roll


def cut(number, way, x1, y1, x2, y2):
    return Cut(number, "R1", way, x1, y1, x2, y2)


def said(*cuts, width_mm=1524, length_mm=3000):
    found = cut_sentences(cuts, width_mm=width_mm, length_mm=length_mm)
    return [str(sentence) for _number, sentence in found]


def test_a_second_cut_across_is_measured_from_the_first():
    words = said(
        cut(1, "across", 0, 320, 1524, 320), cut(2, "across", 0, 2980, 1524, 2980)
    )
    assert words == [
        "Right across at 320 mm.",
        "Right across at 2980 mm: 2660 mm on.",
    ]


def test_a_cut_inside_is_measured_on_its_own_piece():
    words = said(
        cut(1, "across", 0, 1000, 1524, 1000),
        cut(2, "along", 700, 1000, 700, 3000),
        cut(3, "across", 700, 1800, 1524, 1800),
        cut(4, "along", 900, 1000, 900, 1800),
    )
    assert words[1:] == [
        "Along, 700 mm from the left, 1000 mm to 3000 mm.",
        "Across at 1800 mm, 700 mm to 1524 mm: 800 mm into the piece.",
        "Along, 900 mm from the left, 1000 mm to 1800 mm: 200 mm into the piece.",
    ]


@for_all(st.integers(1, 7), st.integers(0, 10_000))
def test_every_cut_of_a_plan_parts_one_piece_from_edge_to_edge(count, seed):
    """So each cut can be made by a knife on what is held at that moment."""
    blanks = [
        blank(f"b{at}", 150 + (seed * (at + 3)) % 900, 120 + (seed * (at + 7)) % 1100)
        for at in range(count)
    ]
    plan = plan_pull(
        blanks=blanks,
        rolls=[roll(remaining_mm=40_000)],
        rules=Rules(cut="guillotine", gap_mm=10, lead_mm=20),
        budget=Budget(tries=0),
    )
    whole = Piece(0, 0, 1524, plan.pulls[0].length_mm)
    assert all(piece for _cut, piece in cuts_on_pieces(plan.cuts, whole=whole))
