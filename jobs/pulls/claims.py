"""What a plan of cuts claims for itself: one sentence, and what it holds for (pure)."""

from __future__ import annotations

from jobs.nesting import PullPlan
from jobs.pulls.stored import FrozenPull
from shopapp.figures import Figure, given
from shopapp.say import Say, say


def sources_said(plan: PullPlan) -> str:
    """What a claim holds for."""
    rolls = "one roll" if len(plan.pulls) == 1 else "these rolls"
    return f"{rolls} after these off-cuts" if plan.used_offcuts else rolls


def claim(plan: PullPlan, *, bound: Figure, gap_pct: float | None) -> Say | None:
    """How good the plan is, once nobody looks for a shorter one; None: nothing to say.

    bound    no plan for these panels on the same film is shorter
    gap_pct  how far the plan lies above it, where that can be said

    Another roll, or the end of one, may still be shorter: so it says what it is for.
    """
    if not plan.pulls or not plan.bound_mm:
        return None
    on = sources_said(plan)
    if plan.proven:
        return say("That is the shortest possible on {on}.", on=on)
    if plan.knife_best:
        return say("With straight cuts there is nothing shorter on {on}.", on=on)
    if gap_pct is None:
        return say("No plan on {on} can be shorter than {bound}.", on=on, bound=bound)
    return say(
        "No plan on {on} can be shorter than {bound} (gap {gap}).",
        on=on,
        bound=bound,
        gap=given(gap_pct, "pct", "plan / bound"),
    )


def taken_told(rest: FrozenPull | None) -> Say:
    """Said after film was taken.

    rest  the plan for what an ended roll did not reach
    """
    if rest is None:
        return say("Film taken. The rolls are up to date.")
    names = " · ".join(panel.name for panel in rest.found.job.panels)
    if rest.found.plan.placements:
        return say(
            "The roll is empty. What is missing is planned: {names}.", names=names
        )
    return say("The roll is empty. No film is left for: {names}.", names=names)
