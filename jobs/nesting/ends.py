"""What is left of a roll goes first, where a second roll of its lot follows (pure)."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from jobs.nesting.problem import Blank, Roll, Rules
from jobs.nesting.rolls import Draft, is_cheaper, is_priced, on_rolls, on_several
from jobs.nesting.strip_search import Effort

MOST_ENDS = 3
"""Roll ends that are tried, the shortest first: each costs a plan."""


def on_rolls_or_ends(
    blanks: Sequence[Blank], rolls: Sequence[Roll], *, rules: Rules, effort: Effort
) -> Draft:
    """One roll for all blanks, or the end of another roll of its lot before it.

    A second roll on the bench must save `rules.min_end_mm`, or be used up at no cost.
    """
    brief = replace(effort, tries=0)
    alone = on_rolls(blanks, rolls, rules=rules, effort=brief)
    pair = _best_pair(blanks, rolls, alone, rules=rules, effort=brief)
    if pair is None:
        if not effort.tries:
            return alone
        return on_rolls(blanks, rolls, rules=rules, effort=effort)
    if not effort.tries:
        return on_several(blanks, pair, rules=rules, effort=brief)
    half = effort.slice(tries=effort.tries // 2, stages=2)
    both = on_several(blanks, pair, rules=rules, effort=half)
    half = effort.slice(tries=effort.tries // 2, stages=1)
    alone = on_rolls(blanks, rolls, rules=rules, effort=half)
    cheaper = _is_worth_it(both, alone, rolls, rules=rules)
    return replace(
        both if cheaper else alone,
        tries=both.tries + alone.tries,
        cut_short=both.cut_short or alone.cut_short,
    )


def _best_pair(
    blanks: Sequence[Blank],
    rolls: Sequence[Roll],
    alone: Draft,
    *,
    rules: Rules,
    effort: Effort,
) -> list[Roll] | None:
    """A roll's end and the roll that goes on, if that is worth a second roll."""
    if alone.left or len(alone.pulls) != 1:
        return None
    length_mm = alone.length_mm
    priced = is_priced(rolls)
    found = [
        (trial.cost(priced), pair)
        for pair in _pairs(rolls, length_mm=length_mm)
        if (trial := on_several(blanks, pair, rules=rules, effort=effort))
        and _is_worth_it(trial, alone, rolls, rules=rules)
    ]
    return min(found, key=lambda each: each[0])[1] if found else None


def _pairs(rolls: Sequence[Roll], *, length_mm: int) -> list[list[Roll]]:
    """Rolls that are not enough alone, each with the shortest of its lot that is."""
    by_length = sorted(rolls, key=lambda roll: (roll.remaining_mm, roll.id))
    ends = [roll for roll in by_length if roll.lot and roll.remaining_mm < length_mm]
    pairs = []
    for end in ends[:MOST_ENDS]:
        mains = (r for r in by_length if r.lot == end.lot and r not in ends)
        if main := next(mains, None):
            pairs.append([end, main])
    return pairs


def _is_worth_it(
    both: Draft, alone: Draft, rolls: Sequence[Roll], *, rules: Rules
) -> bool:
    if both.left or len(both.pulls) != 2:
        return False
    (end, taken_mm), _main = both.pulls
    used_up = end.remaining_mm - taken_mm < rules.min_offcut_mm[1]
    saving_mm = 1 if used_up else rules.min_end_mm
    return is_cheaper(both, alone, saving_mm=saving_mm, priced=is_priced(rolls))
