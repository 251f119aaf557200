"""The cuts of a plan in words, each measured where the person stands (pure).

A drawing counts from the fresh end. Who has cut a piece off measures on that piece:
both are said.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from jobs.nesting import Cut
from shopapp.figures import Figure, given
from shopapp.say import Say, say


class Piece(NamedTuple):
    """What a cut is made on: a part of the roll or off-cut, mm."""

    x1: int
    y1: int
    x2: int
    y2: int


def cut_sentences(
    cuts: Sequence[Cut], *, width_mm: int, length_mm: int
) -> list[tuple[int, Say]]:
    """Number and words of the cuts of one roll or off-cut, in their order.

    width_mm, length_mm  of the pull or off-cut
    """
    whole = Piece(0, 0, width_mm, length_mm)
    return [
        (cut.number, _sentence(cut, on=piece or whole, width_mm=width_mm))
        for cut, piece in cuts_on_pieces(cuts, whole=whole)
    ]


def cuts_on_pieces(
    cuts: Sequence[Cut], *, whole: Piece
) -> list[tuple[Cut, Piece | None]]:
    """Each cut with the piece that it parts from edge to edge; None if there is none.

    whole  the pull or off-cut before the first cut
    """
    pieces, found = [whole], []
    for cut in cuts:
        piece = next((each for each in pieces if _parts(cut, each)), None)
        found.append((cut, piece))
        if piece:
            pieces.remove(piece)
            pieces += _parted(piece, cut)
    return found


def _parts(cut: Cut, piece: Piece) -> bool:
    """Whether the cut goes from one edge of the piece to the other."""
    if cut.way == "across":
        inside = piece.y1 < cut.y1_mm < piece.y2
        return inside and (cut.x1_mm, cut.x2_mm) == (piece.x1, piece.x2)
    inside = piece.x1 < cut.x1_mm < piece.x2
    return inside and (cut.y1_mm, cut.y2_mm) == (piece.y1, piece.y2)


def _parted(piece: Piece, cut: Cut) -> list[Piece]:
    if cut.way == "across":
        return [piece._replace(y2=cut.y1_mm), piece._replace(y1=cut.y1_mm)]
    return [piece._replace(x2=cut.x1_mm), piece._replace(x1=cut.x1_mm)]


def _sentence(cut: Cut, *, on: Piece, width_mm: int) -> Say:
    x1, x2, y1, y2 = map(_mm, (cut.x1_mm, cut.x2_mm, cut.y1_mm, cut.y2_mm))
    if cut.way == "along":
        if on.x1:
            return say(
                "Along, {x} from the left, {y1} to {y2}: {gone} into the piece.",
                x=x1,
                y1=y1,
                y2=y2,
                gone=_mm(cut.x1_mm - on.x1),
            )
        return say("Along, {x} from the left, {y1} to {y2}.", x=x1, y1=y1, y2=y2)
    gone = _mm(cut.y1_mm - on.y1)
    if (cut.x1_mm, cut.x2_mm) == (0, width_mm):
        if on.y1:
            return say("Right across at {y}: {gone} on.", y=y1, gone=gone)
        return say("Right across at {y}.", y=y1)
    if on.y1:
        return say(
            "Across at {y}, {x1} to {x2}: {gone} into the piece.",
            y=y1,
            x1=x1,
            x2=x2,
            gone=gone,
        )
    return say("Across at {y}, {x1} to {x2}.", y=y1, x1=x1, x2=x2)


def _mm(length_mm: int) -> Figure:
    return given(length_mm, "mm", "cut")
