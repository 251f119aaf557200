"""Off-cuts first, but only where they shorten the pull (pure)."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from jobs.nesting.problem import Blank, Offcut, Roll, Rules
from jobs.nesting.rolls import (
    Draft,
    fits,
    height_mm,
    is_cheaper,
    is_priced,
    lay,
    on_rolls,
    strip_of,
)
from jobs.nesting.search import Packing, quick
from jobs.nesting.strip_search import Effort, search_strip
from jobs.nesting.widths import on_widths

MOST_TRIED = 10
"""Off-cuts that are tried one by one: those that take most. Each costs a plan."""


def on_offcuts_and_rolls(
    blanks: Sequence[Blank],
    rolls: Sequence[Roll],
    offcuts: Sequence[Offcut],
    *,
    rules: Rules,
    effort: Effort,
) -> Draft:
    """The better of a plan on rolls alone and one that begins with off-cuts."""
    chosen = _worth_using(blanks, rolls, offcuts, rules=rules, effort=effort)
    if not chosen:
        return on_widths(blanks, rolls, rules=rules, effort=effort)
    half = effort.tries // 2
    with_them = _with_offcuts(
        blanks, rolls, chosen, rules=rules, effort=effort.slice(tries=half, stages=2)
    )
    without = on_widths(
        blanks, rolls, rules=rules, effort=effort.slice(tries=half, stages=1)
    )
    need = rules.min_saving_mm * len({p.source_id for p in with_them.placements})
    better = is_cheaper(with_them, without, saving_mm=need, priced=is_priced(rolls))
    return replace(
        with_them if better else without,
        tries=with_them.tries + without.tries,
        cut_short=with_them.cut_short or without.cut_short,
    )


def _worth_using(
    blanks: Sequence[Blank],
    rolls: Sequence[Roll],
    offcuts: Sequence[Offcut],
    *,
    rules: Rules,
    effort: Effort,
) -> list[Offcut]:
    """Smallest first, keep each off-cut that shortens the quick plan enough."""
    brief = replace(effort, tries=0)
    priced = is_priced(rolls)
    chosen: list[Offcut] = []
    now = on_rolls(blanks, rolls, rules=rules, effort=brief)
    for offcut in _promising(blanks, offcuts, rules=rules):
        some = [*chosen, offcut]
        trial = _with_offcuts(
            blanks, rolls, some, rules=rules, effort=brief, on_trial=True
        )
        if is_cheaper(trial, now, saving_mm=rules.min_saving_mm, priced=priced):
            chosen, now = some, trial
    return chosen


def _promising(
    blanks: Sequence[Blank], offcuts: Sequence[Offcut], *, rules: Rules
) -> list[Offcut]:
    """The few off-cuts on which most area would lie, the smallest of them first."""
    taken: dict[str, int] = {}
    for offcut in offcuts:
        able = [b for b in blanks if fits(b, offcut, rules=rules)]
        if able:
            strip = strip_of(
                able, offcut, rules=rules, height=height_mm(offcut, rules=rules)
            )
            taken[offcut.id] = _area(strip.sizes, quick(strip))
    able_offcuts = [offcut for offcut in offcuts if taken.get(offcut.id)]
    most = sorted(able_offcuts, key=lambda o: (-taken[o.id], o.id))[:MOST_TRIED]
    return sorted(most, key=lambda o: (o.width_mm * o.length_mm, o.id))


def _area(sizes: Sequence[tuple[int, int]], packing: Packing) -> int:
    return sum(sizes[i][0] * sizes[i][1] for i, *_ in packing.placed)


def _with_offcuts(
    blanks: Sequence[Blank],
    rolls: Sequence[Roll],
    offcuts: Sequence[Offcut],
    *,
    rules: Rules,
    effort: Effort,
    on_trial: bool = False,
) -> Draft:
    """Fill each off-cut with the most area, the rest goes on rolls.

    on_trial  whether one width is enough to judge by
    """
    draft = Draft(left=tuple(blanks))
    few = effort.tries // (4 * len(offcuts))
    for offcut in offcuts:
        able = [b for b in draft.left if fits(b, offcut, rules=rules)]
        if not able:
            continue
        strip = strip_of(
            able, offcut, rules=rules, height=height_mm(offcut, rules=rules)
        )
        found = search_strip(
            strip,
            quick(strip),
            effort=effort.slice(tries=few, stages=3 * len(offcuts)),
        )
        placements, _ = lay(found, able, offcut, rules=rules)
        placed = {placement.blank_id for placement in placements}
        draft = replace(
            draft,
            placements=draft.placements + placements,
            left=tuple(b for b in draft.left if b.id not in placed),
            tries=draft.tries + found.tries,
            cut_short=draft.cut_short or found.cut_short,
        )
    rest = effort.slice(tries=effort.tries * 3 // 4, stages=1)
    on = on_rolls if on_trial else on_widths
    rolled = on(draft.left, rolls, rules=rules, effort=rest)
    return replace(
        rolled,
        placements=draft.placements + rolled.placements,
        tries=draft.tries + rolled.tries,
        cut_short=draft.cut_short or rolled.cut_short,
    )
