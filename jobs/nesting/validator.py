"""The slow second opinion on a plan. It shares no code with the builder (pure).

Everything is re-read from the blanks and sources themselves; only the shapes of
input and output are shared.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations

from jobs.nesting.problem import (
    Blank,
    Cut,
    NewOffcut,
    Offcut,
    Placement,
    PullPlan,
    Roll,
    Rules,
)
from shopapp.figures import given
from shopapp.say import Say, say


@dataclass(frozen=True, kw_only=True)
class _Lain:
    """A blank where it lies, real size."""

    name: str
    left: int
    near: int
    right: int
    far: int


def faults(
    plan: PullPlan,
    *,
    blanks: Sequence[Blank],
    rolls: Sequence[Roll],
    offcuts: Sequence[Offcut],
    rules: Rules,
) -> list[Say]:
    """Everything that is wrong with a plan; an empty list means it may be cut."""
    sources: dict[str, Roll | Offcut] = {source.id: source for source in rolls}
    sources |= {source.id: source for source in offcuts}
    found = _once_each(plan, blanks)
    on_source, wrong = _lain_on(plan, {blank.id: blank for blank in blanks}, sources)
    found += wrong
    found += _pulls(plan, rolls, on_source)
    found += _offcuts(plan, offcuts, on_source)
    lengths = {pull.roll_id: pull.length_mm - rules.lead_mm for pull in plan.pulls}
    for source_id, lain in on_source.items():
        source = sources[source_id]
        end = lengths.get(source_id, 0)
        if isinstance(source, Offcut):
            end = source.length_mm
        found += _outside(lain, source.width_mm, end, rules.edge_mm)
        found += _too_close(lain, rules.gap_mm)
        if rules.cut == "guillotine" and not _parts_by_knife(lain):
            found.append(
                say("{source} cannot be cut from side to side.", source=source_id)
            )
    found += _kept_pieces(plan, on_source)
    found += _cuts(plan, on_source)
    if plan.bound_mm > sum(pull.length_mm for pull in plan.pulls) and plan.placements:
        found.append(say("The bound is longer than the plan."))
    return found


def _lain_on(
    plan: PullPlan, blanks: dict[str, Blank], sources: dict[str, Roll | Offcut]
) -> tuple[dict[str, list[_Lain]], list[Say]]:
    """Blanks as they lie on each source, and those that may not lie so."""
    on_source: dict[str, list[_Lain]] = {}
    found: list[Say] = []
    for placement in plan.placements:
        blank = blanks.get(placement.blank_id)
        source = sources.get(placement.source_id)
        if blank is None or source is None:
            found.append(
                say(
                    "{blank} on {source}: one of them is not part of the job.",
                    blank=placement.blank_id,
                    source=placement.source_id,
                )
            )
            continue
        found += _lies_wrongly(placement, blank, source)
        on_source.setdefault(source.id, []).append(_lain(placement, blank))
    return on_source, found


def _once_each(plan: PullPlan, blanks: Sequence[Blank]) -> list[Say]:
    seen = Counter(placement.blank_id for placement in plan.placements)
    seen.update(unplaced.blank_id for unplaced in plan.unplaced)
    return [
        say("{blank} is in the plan {times} times.", blank=b.id, times=seen[b.id])
        for b in blanks
        if seen[b.id] != 1
    ]


def _lies_wrongly(
    placement: Placement, blank: Blank, source: Roll | Offcut
) -> list[Say]:
    found: list[Say] = []
    if placement.turned and blank.turn != "quarter":
        found.append(say("{blank} may not be turned.", blank=blank.id))
    if placement.turned and isinstance(source, Offcut) and not source.turnable:
        found.append(
            say(
                "{blank} lies turned on {source}, where nothing may turn.",
                blank=blank.id,
                source=source.id,
            )
        )
    if blank.film_code != source.film_code:
        found.append(
            say(
                "{blank} needs another film than {source}.",
                blank=blank.id,
                source=source.id,
            )
        )
    return found


def _lain(placement: Placement, blank: Blank) -> _Lain:
    width, length = blank.width_mm, blank.length_mm
    if placement.turned:
        width, length = length, width
    return _Lain(
        name=blank.id,
        left=placement.x_mm,
        near=placement.y_mm,
        right=placement.x_mm + width,
        far=placement.y_mm + length,
    )


def _pulls(
    plan: PullPlan, rolls: Sequence[Roll], on_source: dict[str, list[_Lain]]
) -> list[Say]:
    found: list[Say] = []
    left = {roll.id: roll.remaining_mm for roll in rolls}
    times = Counter(pull.roll_id for pull in plan.pulls)
    for roll_id, count in times.items():
        if count > 1 or roll_id not in left or roll_id not in on_source:
            found.append(
                say(
                    "Roll {roll} is pulled {times} times without need.",
                    roll=roll_id,
                    times=count,
                )
            )
    for pull in plan.pulls:
        if pull.length_mm > left.get(pull.roll_id, 0):
            found.append(
                say(
                    "Roll {roll} has less film than the pull of {pull}.",
                    roll=pull.roll_id,
                    pull=given(pull.length_mm, "mm", "plan"),
                )
            )
    return found + [
        say("Blanks lie on roll {roll}, but nothing is pulled.", roll=roll_id)
        for roll_id in on_source
        if roll_id in left and roll_id not in times
    ]


def _offcuts(
    plan: PullPlan, offcuts: Sequence[Offcut], on_source: dict[str, list[_Lain]]
) -> list[Say]:
    really = {offcut.id for offcut in offcuts} & set(on_source)
    if really == set(plan.used_offcuts) and len(really) == len(plan.used_offcuts):
        return []
    return [say("The list of off-cuts used does not match the placements.")]


def _outside(lain: list[_Lain], width: int, end: int, edge: int) -> list[Say]:
    return [
        say("{blank} sticks out of its film.", blank=one.name)
        for one in lain
        if one.left < edge or one.right > width - edge or one.near < 0 or one.far > end
    ]


def _too_close(lain: list[_Lain], gap: int) -> list[Say]:
    return [
        say("{one} and {other} overlap or are too close.", one=a.name, other=b.name)
        for a, b in combinations(lain, 2)
        if a.left < b.right + gap
        and b.left < a.right + gap
        and a.near < b.far + gap
        and b.near < a.far + gap
    ]


def _parts_by_knife(lain: list[_Lain]) -> bool:
    """Try every edge of every blank as a cut, across and along, on each piece."""
    if len(lain) < 2:
        return True
    for line in {one.far for one in lain}:
        before = [one for one in lain if one.far <= line]
        after = [one for one in lain if one.near >= line]
        if after and len(before) + len(after) == len(lain):
            return _parts_by_knife(before) and _parts_by_knife(after)
    for line in {one.right for one in lain}:
        before = [one for one in lain if one.right <= line]
        after = [one for one in lain if one.left >= line]
        if after and len(before) + len(after) == len(lain):
            return _parts_by_knife(before) and _parts_by_knife(after)
    return False


def _kept_pieces(plan: PullPlan, on_source: dict[str, list[_Lain]]) -> list[Say]:
    return [
        say("An off-cut to keep lies over {blank}.", blank=one.name)
        for kept in plan.new_offcuts
        for one in on_source.get(kept.source_id, [])
        if kept.x_mm < one.right
        and one.left < kept.x_mm + kept.width_mm
        and kept.y_mm < one.far
        and one.near < kept.y_mm + kept.length_mm
    ]


def _cuts(plan: PullPlan, on_source: dict[str, list[_Lain]]) -> list[Say]:
    found: list[Say] = []
    for cut in plan.cuts:
        for one in on_source.get(cut.source_id, []):
            inside_x = cut.x1_mm < one.right and one.left < cut.x2_mm
            inside_y = cut.y1_mm < one.far and one.near < cut.y2_mm
            if cut.way == "across":
                crossed = inside_x and one.near < cut.y1_mm < one.far
            else:
                crossed = inside_y and one.left < cut.x1_mm < one.right
            if crossed:
                found.append(
                    say(
                        "Cut {number} runs through {blank}.",
                        number=cut.number,
                        blank=one.name,
                    )
                )
        found += [
            say("Cut {number} runs through an off-cut to keep.", number=cut.number)
            for kept in plan.new_offcuts
            if kept.source_id == cut.source_id and _goes_through(cut, kept)
        ]
    return found


def _goes_through(cut: Cut, kept: NewOffcut) -> bool:
    x, y = kept.x_mm, kept.y_mm
    right, far = x + kept.width_mm, y + kept.length_mm
    if cut.way == "across":
        return cut.x1_mm < right and x < cut.x2_mm and y < cut.y1_mm < far
    return cut.y1_mm < far and y < cut.y2_mm and x < cut.x1_mm < right
