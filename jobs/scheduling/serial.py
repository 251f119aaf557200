"""Serial generation: one block after the other where it first fits (pure).

What is fixed comes first, then what that waits for, as late as it may; then the block
with the smallest key among those that wait for nothing more.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from heapq import heapify, heappop, heappush, heapreplace

from jobs.scheduling.blocks import Block, Floor, Hold, Step
from jobs.scheduling.draft import FOR_EVER, Draft
from jobs.scheduling.problem import Fault, FaultKind, look_up

Key = Callable[[Draft, int], tuple[float, ...]]
"""What comes first among the blocks; it may grow while a plan fills, never shrink."""


NEVER = float("inf")
MOST_SHIFTS = 10_000
"""Starts tried for one step; a plan of years."""


class StuckError(Exception):
    """A step that fits nowhere, as far as this order goes."""

    def __init__(self, fault: Fault) -> None:
        super().__init__(str(fault))
        self.fault = fault


def build(
    floor: Floor, key: Key, *, late: bool = True, keep: bool = False, whim: int = 0
) -> Draft:
    """A plan of the whole floor; StuckError if something fits nowhere.

    late  what a fixed step waits for goes as late as it may; else as early
    keep  what still fits where the plan in force has it stays there, and nothing
          else begins before its old start
    whim  not 0: hands in another order than usual
    """
    draft = Draft(floor, whim=whim)
    _place_fixed(draft)
    _place_bound(draft, late=late, keep=keep)
    _Free(draft, key, keep=keep).place_all()
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
    fit = draft.old_fit(step) or draft.first_fit(step, 0)
    return fit is not None and draft.put(step, *fit)


def _place_bound(draft: Draft, *, late: bool, keep: bool) -> None:
    """What fixed steps wait for; who is stuck goes first next time, with its kin."""
    floor = draft.floor
    steps = [floor.steps[at] for at in sorted(floor.bound)]
    steps = [step for step in steps if step.fixed is None]
    if late:
        steps.reverse()
    kept = draft.copy()
    for tries_left in reversed(range(2 * len(steps) + 1)):
        stuck = _stuck(draft, steps, late=late, keep=keep)
        if stuck is None:
            break
        if not tries_left:
            raise _no_time(stuck.key, draft.earliest_start(stuck))
        draft.restore(kept, [step.at for step in steps])
        steps.sort(key=lambda one: not floor.is_kin(one.at, stuck.at))
    _hold_bound(draft)


def _stuck(draft: Draft, steps: list[Step], *, late: bool, keep: bool) -> Step | None:
    """The first of these that fits nowhere; None when all are placed."""
    for step in steps:
        fit = draft.old_fit(step) if keep else None
        if fit and draft.put(step, *fit):
            continue
        if not (_put_late(draft, step) if late else _put_in_time(draft, step)):
            return step
    for step in steps:
        times = draft.times[step.at]
        if times is not None and draft.earliest_start(step) > times[0]:
            return step
    return None


def _put_late(draft: Draft, step: Step) -> bool:
    """As late as what follows allows; sooner where two needs want the same hands."""
    at, until = draft.earliest_start(step), FOR_EVER
    for _ in range(MOST_SHIFTS):
        fit = draft.last_fit(step, at, until)
        if fit is None:
            return False
        if draft.put(step, *fit):
            return True
        until = fit[1] - 1
    return False


def _put_in_time(draft: Draft, step: Step) -> bool:
    """As soon as it fits, if what follows and is placed still comes after."""
    fit = draft.first_fit(step, draft.earliest_start(step))
    return fit is not None and draft.follows_fit(step, *fit) and draft.put(step, *fit)


def _hold_bound(draft: Draft) -> None:
    """What is certain of the spans of fixed steps; pinned ones first."""
    floor = draft.floor
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


class _Free:
    """All the rest: by the key, which is looked at again when it may have grown."""

    def __init__(self, draft: Draft, key: Key, *, keep: bool) -> None:
        self.draft, self.floor, self.key, self.keep = draft, draft.floor, key, keep
        times = draft.times
        self.waits = {
            number: {self.floor.block_of[at] for at in block.before if not times[at]}
            for number, block in enumerate(self.floor.blocks)
            if any(not times[at] for at in block.steps)
        }
        self.moved: set[int] = set()

    def place_all(self) -> None:
        follow: dict[int, list[int]] = {}
        for number, before in self.waits.items():
            for other in before:
                follow.setdefault(other, []).append(number)
        heap = [self.ranked(number) for number, wait in self.waits.items() if not wait]
        heapify(heap)
        while heap:
            number = heap[0][-1]
            again = self.ranked(number)
            if again > heap[0]:
                heapreplace(heap, again)
                if heap[0][-1] != number:
                    continue
            heappop(heap)
            if not self.place(number):
                heappush(heap, self.ranked(number))
                continue
            for after in follow.get(number, ()):
                self.waits[after].discard(number)
                if not self.waits[after]:
                    heappush(heap, self.ranked(after))

    def ranked(self, number: int) -> tuple[float, float, tuple[float, ...], int]:
        """Begun blocks first, then those that stay where they were."""
        block = self.floor.blocks[number]
        begun = NEVER
        if any(at in self.floor.bound for at in block.steps):
            begun = _next_taken(self.draft, block)
        old = NEVER
        if self.keep and number not in self.moved:
            first = self.floor.steps[block.steps[0]].key
            old = self.floor.old[first].start if first in self.floor.old else NEVER
        return begun, old, self.key(self.draft, number), number

    def place(self, number: int) -> bool:
        """False where it cannot stay, and others come first now."""
        block, floor, draft = self.floor.blocks[number], self.floor, self.draft
        if not self.keep:
            _place_block(draft, block, {})
            return True
        if number not in self.moved:
            self.moved.add(number)
            if any(floor.steps[at].key in floor.old for at in block.steps):
                return _stays(draft, block)
        olds = {
            at: floor.old[key].start
            for at in block.steps
            if (key := floor.steps[at].key) in floor.old
        }
        _place_block(draft, block, olds)
        return True


def _stays(draft: Draft, block: Block) -> bool:
    """Place a block where the plan in force has it, if all of it still fits."""
    steps = [draft.floor.steps[at] for at in block.steps if not draft.times[at]]
    kept = draft.copy()
    for step in steps:
        fit = draft.old_fit(step)
        if fit is None or not draft.put(step, *fit):
            break
    else:
        if _hold_all(draft, block) is None:
            return True
    draft.restore(kept, [step.at for step in steps])
    return False


def _next_taken(draft: Draft, block: Block) -> float:
    """When the resource that a begun block holds is wanted again."""
    soonest = NEVER
    for hold in block.holds:
        if hold.key in draft.held:
            _, end, resource = draft.held[hold.key]
            busy = draft.taken.busy(resource, hold.ask.demand) >> end
            if busy:
                soonest = min(soonest, end + (busy & -busy).bit_length() - 1)
    return min(soonest, FOR_EVER)


def _place_block(draft: Draft, block: Block, not_before: Mapping[int, int]) -> None:
    """All its steps where they first fit, later and later until its spans fit too."""
    steps = [draft.floor.steps[at] for at in block.steps if not draft.times[at]]
    kept = draft.copy()
    at_least = {step.at: not_before.get(step.at, 0) for step in steps}
    while True:
        for step in steps:
            _put_soon(draft, step, draft.earliest_start(step, at_least[step.at]))
        refused = _hold_all(draft, block)
        if refused is None:
            return
        hold, later = refused
        if hold.first not in at_least:
            raise _no_time(hold.key, later)
        at_least[hold.first] = later
        draft.restore(kept, at_least)


def _hold_all(draft: Draft, block: Block) -> tuple[Hold, int] | None:
    """Hold the spans of a placed block; else the first that is not free, till when."""
    for hold in block.holds:
        first, last = draft.times[hold.first], draft.times[hold.last]
        if first and last:
            later = draft.hold(hold, first[0], last[1])
            if later is not None:
                return hold, later
    return None


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
