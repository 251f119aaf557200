"""Two widths for one job: wide blanks off one roll, the rest off the other (pure)."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import permutations

from jobs.nesting.ends import on_rolls_or_ends
from jobs.nesting.problem import Blank, Roll, Rules
from jobs.nesting.rolls import Draft, fits, is_cheaper, is_priced, on_rolls
from jobs.nesting.strip_search import Effort

SPLITS = 4
"""Steps from "what must lie on the first width" to "everything that may"."""

Part = tuple[Sequence[Blank], Sequence[Roll]]


def on_widths(
    blanks: Sequence[Blank], rolls: Sequence[Roll], *, rules: Rules, effort: Effort
) -> Draft:
    """The cheaper of one width for all blanks and two widths that share them.

    A second roll on the bench must save as much as an off-cut would have to.
    """
    brief = replace(effort, tries=0)
    alone = on_rolls_or_ends(blanks, rolls, rules=rules, effort=brief)
    priced = is_priced(rolls)
    best, parts = alone, None
    for some in _splits(blanks, rolls, rules=rules):
        draft = _on_parts(some, rules=rules, effort=brief)
        if is_cheaper(draft, best, saving_mm=1, priced=priced):
            best, parts = draft, some
    if not effort.tries:
        saving_mm = rules.min_saving_mm
        cheaper = is_cheaper(best, alone, saving_mm=saving_mm, priced=priced)
        return best if cheaper else alone
    if parts is None:
        return on_rolls_or_ends(blanks, rolls, rules=rules, effort=effort)
    half = effort.tries // 2
    shared = _on_parts(parts, rules=rules, effort=effort.slice(tries=half, stages=2))
    alone = on_rolls_or_ends(
        blanks, rolls, rules=rules, effort=effort.slice(tries=half, stages=1)
    )
    cheaper = is_cheaper(shared, alone, saving_mm=rules.min_saving_mm, priced=priced)
    return replace(
        shared if cheaper else alone,
        tries=shared.tries + alone.tries,
        cut_short=shared.cut_short or alone.cut_short,
    )


def _splits(
    blanks: Sequence[Blank], rolls: Sequence[Roll], *, rules: Rules
) -> Iterator[list[Part]]:
    """For each pair of widths: what must lie on the first, and more and more of the
    rest, the widest blanks first."""
    by_width: dict[int, list[Roll]] = {}
    for roll in rolls:
        by_width.setdefault(roll.width_mm, []).append(roll)
    for first, second in permutations(sorted(by_width, reverse=True), 2):
        ours, theirs = by_width[first], by_width[second]
        must = [b for b in blanks if not any(fits(b, r, rules=rules) for r in theirs)]
        may = sorted(
            (b for b in blanks if b not in must),
            key=lambda b: (-min(b.width_mm, b.length_mm), b.id),
        )
        for step in range(SPLITS):
            count = len(may) * step // SPLITS
            if must or count:
                yield [([*must, *may[:count]], ours), (may[count:], theirs)]


def _on_parts(parts: Sequence[Part], *, rules: Rules, effort: Effort) -> Draft:
    tries = effort.tries // len(parts)
    drafts = [
        on_rolls(
            sorted(blanks, key=lambda b: b.id),
            rolls,
            rules=rules,
            effort=effort.slice(tries=tries, stages=len(parts) - done),
        )
        for done, (blanks, rolls) in enumerate(parts)
    ]
    return Draft(
        placements=tuple(p for draft in drafts for p in draft.placements),
        pulls=tuple(pull for draft in drafts for pull in draft.pulls),
        left=tuple(blank for draft in drafts for blank in draft.left),
        tries=sum(draft.tries for draft in drafts),
        cut_short=any(draft.cut_short for draft in drafts),
        knife_best=all(draft.knife_best for draft in drafts),
    )
