"""Serial generation: one block after the other where it first fits (pure).

What is fixed comes first, then what that waits for, as late as it may; then the block
with the smallest key among those that wait for nothing more.
"""

from __future__ import annotations

from collections.abc import Callable
from heapq import heapify, heappop, heappush, heapreplace

from jobs.scheduling.blocks import Block, Floor, Hold, Step
from jobs.scheduling.draft import Draft
from jobs.scheduling.problem import Fault, FaultKind, look_up

Key = Callable[[Draft, int], tuple[float, ...]]
"""What comes first among the blocks; it may grow while a plan fills, never shrink."""
NotBefore = Callable[[int], int]


MOST_SHIFTS = 10_000
"""Starts tried for one step; a plan of years."""


class StuckError(Exception):
    """A step that fits nowhere, as far as this order goes."""

    def __init__(self, fault: Fault) -> None:
        super().__init__(str(fault))
        self.fault = fault


def build(
    floor: Floor, key: Key, *, late: bool = True, not_before: NotBefore | None = None
) -> Draft:
    """A plan of the whole floor; StuckError if something fits nowhere.

    late        what a fixed step waits for goes as late as it may; else as early
    not_before  for a step, a tick before which it is not wanted
    """
    draft = Draft(floor)
    _place_fixed(draft)
    _place_bound(draft, late=late)
    _place_free(draft, key, not_before or (lambda _: 0))
    return draft


def _place_fixed(draft: Draft) -> None:
    """At their ticks; whoever finds no hands goes before the others next time."""
    steps = [step for step in draft.floor.steps if step.fixed is not None]
    steps.sort(key=lambda one: (sum(len(ask.free) for ask in one.asks), one.at))
    kept = draft.copy()
    fault: Fault | None = None
    for _ in range(2 * len(steps) + 1):
        stuck = next((step for step in steps if not _put_first(draft, step)), None)
        if stuck is None:
            return
        fault = Fault(kind=FaultKind.PINS_CLASH, about=(stuck.key,), at=stuck.fixed)
        draft.restore(kept, [step.at for step in steps])
        steps.remove(stuck)
        steps.insert(0, stuck)
    if fault:
        raise StuckError(fault)


def _put_first(draft: Draft, step: Step) -> bool:
    fit = draft.first_fit(step, 0)
    return fit is not None and draft.put(step, *fit)


def _place_bound(draft: Draft, *, late: bool) -> None:
    """What fixed steps wait for, then what is certain of the spans."""
    floor = draft.floor
    waiting = [
        floor.steps[at] for at in sorted(floor.bound) if floor.steps[at].fixed is None
    ]
    for step in reversed(waiting) if late else waiting:
        at = draft.earliest_start(step)
        fit = draft.last_fit(step, at) if late else draft.first_fit(step, at)
        if (
            fit is None
            or not draft.follows_fit(step, *fit)
            or not draft.put(step, *fit)
        ):
            raise _no_time(step.key, at)
    for step in waiting:
        times = draft.times[step.at]
        if times is not None and draft.earliest_start(step) > times[0]:
            raise _no_time(step.key, times[0])
    holds = [
        (not hold.ask.forced, draft.times[hold.first] or (0, 0), hold.key, hold, block)
        for block in floor.blocks
        for hold in block.holds
        if hold.first in floor.bound
    ]
    for _, (start, _), key, hold, block in sorted(holds, key=lambda one: one[:3]):
        if draft.hold(hold, start, _certain_end(draft, hold, block)) is not None:
            raise StuckError(Fault(kind=FaultKind.PINS_CLASH, about=(key,), at=start))


def _certain_end(draft: Draft, hold: Hold, block: Block) -> int:
    """The span ends no sooner, as far as its steps are placed."""
    steps = [draft.floor.steps[at] for at in block.steps]
    guessed = [step for step in steps if draft.times[step.at] is None]
    for step in guessed:
        at = draft.earliest_start(step)
        end = look_up(step.ends, at) if step.ends else at + step.sizes[0]
        draft.times[step.at] = (at, end)
    last = draft.times[hold.last]
    for step in guessed:
        draft.times[step.at] = None
    return last[1] if last else 0


def _place_free(draft: Draft, key: Key, not_before: NotBefore) -> None:
    """All the rest: by the key, looked at again when it may have grown."""
    floor = draft.floor
    todo = {
        number: {floor.block_of[at] for at in block.before if draft.times[at] is None}
        for number, block in enumerate(floor.blocks)
        if any(draft.times[at] is None for at in block.steps)
    }
    follow: dict[int, list[int]] = {}
    for number, before in todo.items():
        for other in before:
            follow.setdefault(other, []).append(number)

    def ranked(number: int) -> tuple[tuple[float, ...], int]:
        block = floor.blocks[number]
        if any(at in floor.bound for at in block.steps):
            return (_next_taken(draft, block), *key(draft, number)), number
        return (float("inf"), *key(draft, number)), number

    heap = [ranked(number) for number, before in todo.items() if not before]
    heapify(heap)
    while heap:
        number = heap[0][1]
        again = ranked(number)
        if again > heap[0]:
            heapreplace(heap, again)
            if heap[0][1] != number:
                continue
        heappop(heap)
        _place_block(draft, floor.blocks[number], not_before)
        for after in follow.get(number, ()):
            todo[after].discard(number)
            if not todo[after]:
                heappush(heap, ranked(after))


def _next_taken(draft: Draft, block: Block) -> float:
    """When the resource that a begun block holds is wanted again."""
    soonest = float("inf")
    for hold in block.holds:
        if hold.key in draft.held:
            _, end, resource = draft.held[hold.key]
            busy = draft.taken.busy(resource, hold.ask.demand) >> end
            if busy:
                soonest = min(soonest, end + (busy & -busy).bit_length() - 1)
    return min(soonest, 1 << 40)


def _place_block(draft: Draft, block: Block, not_before: NotBefore) -> None:
    """All its steps where they first fit, later and later until its spans fit too."""
    floor = draft.floor
    steps = [floor.steps[at] for at in block.steps if draft.times[at] is None]
    kept = draft.copy()
    at_least = {step.at: not_before(step.at) for step in steps}
    while True:
        for step in steps:
            _put_soon(draft, step, draft.earliest_start(step, at_least[step.at]))
        is_held = True
        for hold in block.holds:
            first, last = draft.times[hold.first], draft.times[hold.last]
            if first is None or last is None:
                continue
            later = draft.hold(hold, first[0], last[1])
            if later is not None:
                if hold.first not in at_least:
                    raise _no_time(hold.key, first[0])
                at_least[hold.first] = later
                is_held = False
                break
        if is_held:
            return
        draft.restore(kept, at_least)


def _put_soon(draft: Draft, step: Step, at: int) -> None:
    """At its first fit; later where two of its needs want the same hands."""
    for _ in range(MOST_SHIFTS):
        fit = draft.first_fit(step, at)
        if fit is None:
            break
        if draft.put(step, *fit):
            return
        at = fit[0] + 1
    raise _no_time(step.key, at)


def _no_time(key: str, at: int) -> StuckError:
    return StuckError(Fault(kind=FaultKind.NO_TIME, about=(key,), at=at))
