"""The front door: blanks, rolls and off-cuts to a checked film plan (pure)."""

from __future__ import annotations

import math
import time
from collections.abc import Sequence
from dataclasses import dataclass, replace

from jobs.nesting.knife import cut_list
from jobs.nesting.leftovers import Box, free_rectangles
from jobs.nesting.offcuts import on_offcuts_and_rolls
from jobs.nesting.problem import (
    Blank,
    Budget,
    Cut,
    NewOffcut,
    Offcut,
    Pull,
    PullPlan,
    Roll,
    Rules,
    Share,
    Unplaced,
    check_input,
    input_sha256,
)
from jobs.nesting.prover import Prover
from jobs.nesting.relief import most_saved
from jobs.nesting.rolls import (
    Draft,
    fits,
    height_mm,
    may_turn,
    strip_of,
    usable_mm,
)
from jobs.nesting.strip_search import Effort
from jobs.nesting.validator import faults
from shopapp.figures import given
from shopapp.say import Say, say

Sheet = tuple[str, list[Box], Box]
"""Source, blanks as boxes, the sheet as a box."""

BUILDERS = {"free": "skyline", "guillotine": "bands"}
ENGINE_VERSION = "4"
SURE_MM = 0.01
"""Taken off a bound of floats before it is rounded up."""
MOST_WIDTHS_SAID = 4
"""Widths named, the widest, when a blank fits none of them."""


class FaultyPlanError(RuntimeError):
    """The validator refused a plan; it must not be shown."""


@dataclass(frozen=True, kw_only=True)
class _Job:
    """Everything for one film code, in order of id."""

    blanks: tuple[Blank, ...]
    rolls: tuple[Roll, ...]
    offcuts: tuple[Offcut, ...]
    rules: Rules


def plan_pull(
    *,
    blanks: Sequence[Blank],
    rolls: Sequence[Roll],
    offcuts: Sequence[Offcut] = (),
    rules: Rules,
    budget: Budget,
) -> PullPlan:
    """Place blanks on rolls and off-cuts so that little film is pulled.

        pull = packed length - gap + lead;  cost = pull * width, or pull * price

    blanks   whole mm above 0, handling margin and edge wrap included
    rolls    whole mm; `cost_per_m` counts only if every roll of the film has one
    offcuts  used only where the pull gets shorter by `rules.min_saving_mm`
    budget   tries=0 answers in milliseconds and needs no engine

    Raises ValueError for input that is no job. A blank that no film can take is
    listed in `unplaced` with the reason.
    Not for:  outlines; a blank is nested by its rectangle.
    Source:   own search; skyline best fit after Burke, Kendall, Whitwell 2004, late
              acceptance after Burke, Bykov 2017 (both cited from memory).

    >>> plan = plan_pull(
    ...     blanks=[Blank(id="hood", width_mm=1400, length_mm=1100)],
    ...     rolls=[Roll(id="R1", width_mm=1524, remaining_mm=15000)],
    ...     offcuts=[], rules=Rules(lead_mm=20), budget=Budget(tries=0))
    >>> plan.pulls, plan.bound_mm, plan.proven
    ((Pull(roll_id='R1', length_mm=1120),), 1120, True)
    """
    deadline = time.monotonic() + budget.wall_s
    check_input(blanks=blanks, rolls=rolls, offcuts=offcuts, rules=rules, budget=budget)
    jobs = _jobs(blanks, rolls, offcuts, rules)
    prover = Prover(tries=budget.tries, seed=budget.seed, deadline=deadline)
    effort = Effort(
        tries=budget.tries, seed=budget.seed, deadline=deadline, prover=prover
    )
    parts = [
        _plan_film(
            job,
            effort.slice(tries=budget.tries // len(jobs), stages=len(jobs) - done),
        )
        for done, job in enumerate(jobs)
    ]
    plan = replace(
        _joined(parts),
        engine=" + ".join([BUILDERS[rules.cut], *sorted(prover.engines)]),
        engine_version=" + ".join([ENGINE_VERSION, *prover.versions()]),
        input_sha256=input_sha256(
            blanks=blanks, rolls=rolls, offcuts=offcuts, rules=rules, budget=budget
        ),
        shares=_shares(parts, blanks),
    )
    if wrong := faults(plan, blanks=blanks, rolls=rolls, offcuts=offcuts, rules=rules):
        raise FaultyPlanError(" ".join(str(sentence) for sentence in wrong))
    return plan


def _jobs(
    blanks: Sequence[Blank],
    rolls: Sequence[Roll],
    offcuts: Sequence[Offcut],
    rules: Rules,
) -> list[_Job]:
    return [
        _Job(
            blanks=tuple(
                sorted((b for b in blanks if b.film_code == film), key=lambda b: b.id)
            ),
            rolls=tuple(
                sorted((r for r in rolls if r.film_code == film), key=lambda r: r.id)
            ),
            offcuts=tuple(
                sorted((o for o in offcuts if o.film_code == film), key=lambda o: o.id)
            ),
            rules=rules,
        )
        for film in sorted({blank.film_code for blank in blanks})
    ]


def _plan_film(job: _Job, effort: Effort) -> PullPlan:
    """One film code: reject by name, lay out, bound, cut list, pieces to keep."""
    rules = job.rules
    reasons = {blank.id: _never_fits(blank, job) for blank in job.blanks}
    able = [blank for blank in job.blanks if reasons[blank.id] is None]
    draft = on_offcuts_and_rolls(
        able, job.rolls, job.offcuts, rules=rules, effort=effort
    )
    unplaced = [Unplaced(name, why) for name, why in reasons.items() if why]
    unplaced += [Unplaced(blank.id, _film_ran_out(blank, job)) for blank in draft.left]
    cuts, kept = _cuts_and_spare(_sheets(draft, job), rules)
    placed = [blank for blank in able if blank not in draft.left]
    bound = _bound_mm(draft, placed, job, effort)
    used = {placement.source_id for placement in draft.placements}
    return PullPlan(
        placements=tuple(sorted(draft.placements)),
        pulls=tuple(Pull(roll.id, length) for roll, length in draft.pulls),
        used_offcuts=tuple(o.id for o in job.offcuts if o.id in used),
        new_offcuts=kept,
        unplaced=tuple(sorted(unplaced, key=lambda u: u.blank_id)),
        bound_mm=bound,
        proven=bound == draft.length_mm,
        knife_best=draft.knife_best,
        tries_used=draft.tries,
        cut_short=draft.cut_short or effort.prover.late,
        cuts=cuts,
    )


def _never_fits(blank: Blank, job: _Job) -> Say | None:
    """Why a blank fits nothing, naming the widths and turns tried."""
    sources: list[Roll | Offcut] = [*job.rolls, *job.offcuts]
    if any(fits(blank, source, rules=job.rules) for source in sources):
        return None
    if not sources:
        return say("{blank}: no film of this kind is in stock.", blank=blank.id)
    # The widths of rolls say what to buy; off-cuts only where there is no roll.
    tried = sorted({source.width_mm for source in job.rolls or sources})
    ways = "as it is and turned" if blank.turn == "quarter" else "as it is only"
    widths = {
        f"width_{at}": given(width, "mm", "stock")
        for at, width in enumerate(tried[-MOST_WIDTHS_SAID:], start=1)
    }
    lost = ", {edge} lost on each edge" if job.rules.edge_mm else ""
    return say(
        f"{{blank}} ({{width}} × {{length}}) fits no film: tried {ways} on widths of "
        f"{', '.join(f'{{{name}}}' for name in widths)}{lost}.",
        blank=blank.id,
        width=given(blank.width_mm, "mm", "blank"),
        length=given(blank.length_mm, "mm", "blank"),
        edge=given(job.rules.edge_mm, "mm", "rules"),
        **widths,
    )


def _film_ran_out(blank: Blank, job: _Job) -> Say:
    return say(
        "{blank} ({width} × {length}): not enough film is left, {metres} on {rolls} "
        "rolls.",
        blank=blank.id,
        width=given(blank.width_mm, "mm", "blank"),
        length=given(blank.length_mm, "mm", "blank"),
        metres=given(sum(r.remaining_mm for r in job.rolls) / 1000, "m", "rolls"),
        rolls=len(job.rolls),
    )


def _sheets(draft: Draft, job: _Job) -> list[Sheet]:
    """Blanks as boxes on each sheet: the pull or the off-cut."""
    sizes = {blank.id: blank for blank in job.blanks}
    ends: list[tuple[Roll | Offcut, int]] = list(draft.pulls)
    ends += [(offcut, offcut.length_mm) for offcut in job.offcuts]
    sheets = []
    for source, length in ends:
        boxes = []
        for placement in draft.placements:
            if placement.source_id == source.id:
                blank = sizes[placement.blank_id]
                w, h = blank.width_mm, blank.length_mm
                if placement.turned:
                    w, h = h, w
                x, y = placement.x_mm, placement.y_mm
                boxes.append((x, y, x + w, y + h))
        if boxes:
            sheets.append((source.id, boxes, (0, 0, source.width_mm, length)))
    return sheets


def _cuts_and_spare(
    sheets: Sequence[Sheet], rules: Rules
) -> tuple[tuple[Cut, ...], tuple[NewOffcut, ...]]:
    """Knife cuts, and the rectangles worth keeping: with a knife, what cuts leave."""
    least_w, least_h = rules.min_offcut_mm
    cuts: tuple[Cut, ...] = ()
    spare: tuple[tuple[str, Box], ...]
    if rules.cut == "guillotine":
        cuts, spare = cut_list(sheets, gap_mm=rules.gap_mm)
    else:
        spare = tuple(
            (source_id, box)
            for source_id, boxes, sheet in sheets
            for box in free_rectangles(
                boxes, sheet=sheet, least=rules.min_offcut_mm, gap=rules.gap_mm
            )
        )
    kept = tuple(
        NewOffcut(source_id, x1, y1, x2 - x1, y2 - y1)
        for source_id, (x1, y1, x2, y2) in spare
        if x2 - x1 >= least_w and y2 - y1 >= least_h
    )
    return cuts, kept


def _bound_mm(draft: Draft, placed: Sequence[Blank], job: _Job, effort: Effort) -> int:
    """Sum of pulls that no plan goes below on the rolls pulled from."""
    if not draft.pulls:
        return 0
    rules = job.rules
    pulled = [roll for roll, _ in draft.pulls]
    # Rolls laid end to end, all as wide as the widest: no plan on them is shorter.
    widest = replace(
        max(pulled, key=lambda roll: roll.width_mm),
        remaining_mm=sum(roll.remaining_mm for roll in pulled),
    )
    on_roll = [b for b in placed if fits(b, widest, rules=rules)]
    helpful = [o for o in job.offcuts if any(fits(b, o, rules=rules) for b in on_roll)]
    height = height_mm(widest, rules=rules)
    bound = 0
    if must := [
        b for b in on_roll if not any(fits(b, o, rules=rules) for o in helpful)
    ]:
        strip = strip_of(must, widest, rules=rules, height=height)
        bound = effort.prover.bound(strip)
    if helpful:
        strip = strip_of(on_roll, widest, rules=rules, height=height)
        worths = effort.prover.worths(strip)
        saved = sum(
            most_saved(
                worths=worths,
                sizes=strip.sizes,
                may_turn=[may_turn(b, offcut) for b in on_roll],
                width_mm=usable_mm(offcut, rules=rules),
                length_mm=height_mm(offcut, rules=rules),
            )
            for offcut in helpful
        )
        bound = max(bound, math.ceil(sum(worths) - saved - SURE_MM))
    if bound <= 0:
        return 0
    ends = len(draft.pulls) if rules.lead_mm < rules.gap_mm else 1
    return bound + ends * (rules.lead_mm - rules.gap_mm)


def _joined(parts: Sequence[PullPlan]) -> PullPlan:
    """The plans of all film codes as one."""
    cuts = [cut for part in parts for cut in part.cuts]
    return PullPlan(
        placements=tuple(p for part in parts for p in part.placements),
        pulls=tuple(p for part in parts for p in part.pulls),
        used_offcuts=tuple(o for part in parts for o in part.used_offcuts),
        new_offcuts=tuple(o for part in parts for o in part.new_offcuts),
        unplaced=tuple(u for part in parts for u in part.unplaced),
        bound_mm=sum(part.bound_mm for part in parts),
        proven=all(part.proven for part in parts),
        knife_best=all(part.knife_best or part.proven for part in parts)
        and any(part.knife_best for part in parts),
        tries_used=sum(part.tries_used for part in parts),
        cut_short=any(part.cut_short for part in parts),
        cuts=tuple(cut._replace(number=n) for n, cut in enumerate(cuts, 1)),
    )


def _shares(parts: Sequence[PullPlan], blanks: Sequence[Blank]) -> tuple[Share, ...]:
    """Each pull shared out by blank area; the parts add up to the pulls."""
    by_id = {blank.id: blank for blank in blanks}
    totals: dict[str, int] = {}
    for part in parts:
        areas: dict[str, int] = {}
        for placement in part.placements:
            blank = by_id[placement.blank_id]
            area = blank.width_mm * blank.length_mm
            areas[blank.group] = areas.get(blank.group, 0) + area
        left, left_area = part.length_mm, sum(areas.values())
        for group, area in sorted(areas.items()):
            share = round(left * area / left_area)
            totals[group] = totals.get(group, 0) + share
            left -= share
            left_area -= area
    return tuple(Share(group, length) for group, length in sorted(totals.items()))
