"""What a plan says of itself: length, proof, waste, what nesting saved (pure)."""

from __future__ import annotations

from collections.abc import Sequence

from jobs.nesting.problem import Blank, PullPlan, Roll, Rules
from shopapp.figures import Figure
from shopapp.say import Say, say


def length_sentence(plan: PullPlan) -> Say:
    """Length and proof in one sentence, as it stands on screen and paper.

    "Shortest possible" only where the bound and the plan agree.
    """
    length = _metres(plan.length_mm, "jobs.nesting.plan.plan_pull")
    if not plan.pulls:
        return say("No film needs to be pulled.")
    if plan.proven:
        return say("Length {length}; no plan can be shorter.", length=length)
    least = _metres(plan.bound_mm, "jobs.nesting.bounds.quick_bound_mm")
    if "bar bound" in plan.engine:
        least = _metres(plan.bound_mm, "jobs.nesting.barbound.bar_bound_mm")
    gap = 100 * (plan.length_mm - plan.bound_mm) / plan.length_mm
    return say(
        "Length {length}; no plan can be shorter than {least} (gap {gap} %).",
        length=length,
        least=least,
        gap=round(gap, 1),
    )


def waste_pct(
    *, plan: PullPlan, blanks: Sequence[Blank], rolls: Sequence[Roll]
) -> float:
    """Share of the pulled film that ends in no blank and in no kept off-cut.

        100 * (1 - (blanks on rolls + off-cuts kept from them) / film pulled)

    plan    a plan for these blanks
    rolls   every roll that the plan pulls from
    Not for:  off-cuts used; their film was pulled before.
    Source:   definition of waste by area.

    >>> from jobs.nesting import Budget, plan_pull
    >>> blanks = [Blank(id="a", width_mm=750, length_mm=1000)]
    >>> rolls = [Roll(id="R", width_mm=1000, remaining_mm=5000)]
    >>> waste_pct(blanks=blanks, rolls=rolls, plan=plan_pull(
    ...     blanks=blanks, rolls=rolls, rules=Rules(), budget=Budget(tries=0)))
    25.0
    """
    widths = {roll.id: roll.width_mm for roll in rolls}
    sizes = {blank.id: blank.width_mm * blank.length_mm for blank in blanks}
    pulled = sum(pull.length_mm * widths[pull.roll_id] for pull in plan.pulls)
    if not pulled:
        return 0.0
    of_use = sum(sizes[p.blank_id] for p in plan.placements if p.source_id in widths)
    of_use += sum(
        kept.width_mm * kept.length_mm
        for kept in plan.new_offcuts
        if kept.source_id in widths
    )
    return 100 * (1 - of_use / pulled)


def panel_by_panel_mm(
    *, blanks: Sequence[Blank], roll_width_mm: int, rules: Rules
) -> int:
    """Film that cutting each blank on its own, across the whole roll, would take.

        sum of (length along the roll + lead), each blank in its shorter turn allowed

    blanks         each fits the roll in some turn; a blank that does not counts 0
    roll_width_mm  full width of the roll, above 0
    Not for:  a price; it is the plan without nesting that a saving is told against.
    Source:   arithmetic.

    >>> panel_by_panel_mm(blanks=[Blank(id="a", width_mm=900, length_mm=400)] * 2,
    ...                   roll_width_mm=1524, rules=Rules(lead_mm=20))
    840
    """
    usable = roll_width_mm - 2 * rules.edge_mm
    total = 0
    for blank in blanks:
        ways = [(blank.width_mm, blank.length_mm)]
        if blank.turn == "quarter":
            ways.append((blank.length_mm, blank.width_mm))
        lengths = [length for width, length in ways if width <= usable]
        total += min(lengths) + rules.lead_mm if lengths else 0
    return total


def _metres(length_mm: int, made_by: str) -> Figure:
    return Figure(value=length_mm / 1000, unit="m", made_by=made_by)
