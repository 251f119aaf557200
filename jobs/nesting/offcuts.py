"""Off-cuts first, but only where they shorten the pull (pure)."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from jobs.nesting.problem import Blank, Offcut, Roll, Rules
from jobs.nesting.rolls import (
    Draft,
    Effort,
    fits,
    height_mm,
    lay,
    on_rolls,
    search_strip,
    strip_of,
)
from jobs.nesting.search import quick


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
        return on_rolls(blanks, rolls, rules=rules, effort=effort)
    half = effort.tries // 2
    with_them = _with_offcuts(
        blanks, rolls, chosen, rules=rules, effort=effort.slice(tries=half, stages=2)
    )
    without = on_rolls(
        blanks, rolls, rules=rules, effort=effort.slice(tries=half, stages=1)
    )
    need = rules.min_saving_mm * len({p.source_id for p in with_them.placements})
    better = _is_better(with_them, without, saving_mm=need)
    return replace(
        with_them if better else without,
        tries=with_them.tries + without.tries,
        cut_short=with_them.cut_short or without.cut_short,
    )


def _is_better(draft: Draft, than: Draft, *, saving_mm: int) -> bool:
    """Fewer blanks left over, or as many and a pull shorter by the amount set."""
    if len(draft.left) != len(than.left):
        return len(draft.left) < len(than.left)
    return draft.length_mm <= than.length_mm - max(1, saving_mm)


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
    chosen: list[Offcut] = []
    now = on_rolls(blanks, rolls, rules=rules, effort=brief)
    for offcut in sorted(offcuts, key=lambda o: (o.width_mm * o.length_mm, o.id)):
        trial = _with_offcuts(
            blanks, rolls, [*chosen, offcut], rules=rules, effort=brief
        )
        if _is_better(trial, now, saving_mm=rules.min_saving_mm):
            chosen.append(offcut)
            now = trial
    return chosen


def _with_offcuts(
    blanks: Sequence[Blank],
    rolls: Sequence[Roll],
    offcuts: Sequence[Offcut],
    *,
    rules: Rules,
    effort: Effort,
) -> Draft:
    """Fill each off-cut with the most area, the rest goes on rolls."""
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
    rolled = on_rolls(draft.left, rolls, rules=rules, effort=rest)
    return replace(
        rolled,
        placements=draft.placements + rolled.placements,
        tries=draft.tries + rolled.tries,
        cut_short=draft.cut_short or rolled.cut_short,
    )
