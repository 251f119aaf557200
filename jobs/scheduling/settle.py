"""A finished plan made to wait less: all goes as late as what follows lets it (pure).

Serial generation brings cars in as early as it can, so that they stand about. Moved
back to front towards what follows, none is ready later and each stays for less time.
"""

from __future__ import annotations

from jobs.scheduling.blocks import Floor, Hold, Step
from jobs.scheduling.draft import Draft


def settle(draft: Draft, *, all_of_it: bool = False) -> None:
    """Move every step as late as it may go.

    What is fixed, promised or in the plan in force stays, and so does the last step of
    a job; with `all_of_it` only what is fixed stays, and nothing ends after the rest.
    """
    floor = draft.floor
    last = max((times[1] for times in draft.times if times), default=0)
    holds: dict[int, list[Hold]] = {}
    for block in floor.blocks:
        for hold in block.holds:
            for at in {hold.first, hold.last}:
                holds.setdefault(at, []).append(hold)
    steps = [
        step
        for step in floor.steps
        if step.fixed is None
        and (all_of_it or (floor.out[step.at] and _is_free(floor, step)))
    ]
    steps.sort(key=lambda one: (draft.times[one.at] or (0, 0), one.at), reverse=True)
    for step in steps:
        _move(draft, step, holds.get(step.at, []), last)


def _is_free(floor: Floor, step: Step) -> bool:
    """Whether no promise and no plan in force says when the step is to be."""
    return step.at not in floor.promised and step.key not in floor.old


def _move(draft: Draft, step: Step, holds: list[Hold], until: int) -> None:
    """One step to its last fit, its spans with it; back where it was if they cannot."""
    old = draft.times[step.at]
    if old is None:
        return
    kept, hands = draft.copy(), draft.hands[step.at]
    draft.lift(step)
    new = draft.last_fit(step, old[0], until)
    is_later = new is not None and new != old and draft.put(step, *new)
    if is_later and all(_follow(draft, hold) for hold in holds):
        return
    draft.restore(kept, [])
    draft.times[step.at], draft.hands[step.at] = old, hands


def _follow(draft: Draft, hold: Hold) -> bool:
    """A span goes with its first and last step."""
    first, last = draft.times[hold.first], draft.times[hold.last]
    if first is None or last is None:
        return False
    return draft.hold(hold, first[0], last[1]) is None
