"""A finished plan made to wait less: all goes as late as what follows lets it (pure).

Serial generation brings cars in as early as it can, so that they stand about. Moved
back to front towards what follows, none is ready later and each stays for less time.
"""

from __future__ import annotations

from collections.abc import Callable

from jobs.scheduling.blocks import Floor, Hold, Step
from jobs.scheduling.draft import Draft
from jobs.scheduling.problem import Interval, look_up


def settle(draft: Draft, *, all_of_it: bool = False) -> None:
    """Move every step as late as it may go.

    What is fixed, promised or in the plan in force stays, and so does the last step of
    a job; with `all_of_it` only what is fixed stays, and nothing ends after the rest.
    """
    floor = draft.floor
    last = max((times[1] for times in draft.times if times), default=0)
    holds = _holds(floor)
    steps = [
        step
        for step in floor.steps
        if step.fixed is None
        and (all_of_it or (floor.out[step.at] and _is_free(floor, step)))
    ]
    for step in _back_to_front(draft, steps):

        def later(now: Interval, step: Step = step) -> Interval | None:
            fit = draft.last_fit(step, now[0], last)
            return fit if fit != now else None

        _move(draft, step, holds.get(step.at, []), later)


def go_home(draft: Draft) -> None:
    """Move every step towards where the plan in force has it, and to its hands.

    First what is too early, back to front; then what is too late, front to back. No
    promise is kept less well for it.
    """
    floor = draft.floor
    holds = _holds(floor)
    steps = [
        step for step in floor.steps if step.fixed is None and step.key in floor.old
    ]
    ordered = _back_to_front(draft, steps)
    for step in (*ordered, *reversed(ordered)):
        home = floor.old[step.key].start

        def nearer(
            now: Interval, step: Step = step, home: int = home
        ) -> Interval | None:
            if now[0] < home:
                end = look_up(step.ends, home) if step.ends else home + now[1] - now[0]
                return draft.last_fit(step, now[0], _until(floor, step, now[1], end))
            fit = draft.first_fit(step, draft.earliest_start(step, home))
            return fit if fit and fit[0] <= now[0] and fit[1] <= now[1] else None

        _move(draft, step, holds.get(step.at, []), nearer)


def _until(floor: Floor, step: Step, now: int, end: int) -> int:
    """The later of these ends, unless it makes a promise later than it is now."""
    dues = [due for due in floor.problem.dues if due.activity == step.key]
    return end if all(due.late(end) <= due.late(now) for due in dues) else now


def _holds(floor: Floor) -> dict[int, list[Hold]]:
    """The spans that begin or end with each step."""
    found: dict[int, list[Hold]] = {}
    for block in floor.blocks:
        for hold in block.holds:
            for at in {hold.first, hold.last}:
                found.setdefault(at, []).append(hold)
    return found


def _back_to_front(draft: Draft, steps: list[Step]) -> list[Step]:
    return sorted(
        steps, key=lambda one: (draft.times[one.at] or (0, 0), one.at), reverse=True
    )


def _is_free(floor: Floor, step: Step) -> bool:
    """Whether no promise and no plan in force says when the step is to be."""
    return step.at not in floor.promised and step.key not in floor.old


def _move(
    draft: Draft,
    step: Step,
    holds: list[Hold],
    find: Callable[[Interval], Interval | None],
) -> None:
    """One step to where it is better, its spans with it; else it is where it was."""
    old = draft.times[step.at]
    if old is None:
        return
    kept, hands = draft.copy(), draft.hands[step.at]
    draft.lift(step)
    new = find(old)
    is_moved = new is not None and draft.put(step, *new)
    if is_moved and all(_follow(draft, hold) for hold in holds):
        return
    draft.restore(kept, [])
    draft.times[step.at], draft.hands[step.at] = old, hands


def _follow(draft: Draft, hold: Hold) -> bool:
    """A span goes with its first and last step."""
    first, last = draft.times[hold.first], draft.times[hold.last]
    if first is None or last is None:
        return False
    return draft.hold(hold, first[0], last[1]) is None
