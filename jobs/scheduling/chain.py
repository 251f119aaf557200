"""What a job waits for in a plan, walked back from its last activity (pure).

Each activity is asked what stands in its way one possible start earlier, everything
else left where it is: its own stage before, a resource that is taken or not there, the
opening, its arrival, a pin. The answer is followed back, to other jobs too.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from enum import StrEnum
from functools import partial

from jobs.scheduling.problem import (
    Activity,
    Interval,
    Link,
    Need,
    Plan,
    Problem,
)
from jobs.scheduling.reach import dues_of
from jobs.scheduling.ready_check import earliest_after, end_of, links_by_after


class Wait(StrEnum):
    """What an activity waits for."""

    SETTLING = "settling"
    STAGE = "stage"
    TAKEN = "taken"
    AWAY = "away"
    OPENING = "opening"
    ARRIVAL = "arrival"
    PIN = "pin"


@dataclass(frozen=True, kw_only=True)
class ChainLink:
    """One step back.

    activity  what waits
    since     the tick from which its own job no longer holds it
    until     the tick at which the wait is over
    behind    the activity or the span that is waited for, "" where there is none
    of        the job of what is behind
    resource  of TAKEN and AWAY: whose
    """

    wait: Wait
    job: str
    activity: str
    since: int
    until: int
    behind: str = ""
    of: str = ""
    resource: str = ""


Chain = tuple[ChainLink, ...]


def chain(problem: Problem, plan: Plan, job: str) -> Chain:
    """What a job waits for in a plan, the last wait first.

    Empty for a job that the plan does not hold, or that waits for nothing.
    """
    dues = [due for due in dues_of(problem, job) if due.activity in plan.by_key]
    if not dues:
        return ()
    due = max(dues, key=lambda each: each.late(plan.by_key[each.activity].end))
    end = plan.by_key[due.activity].end
    settling: Chain = ()
    if due.ready(end) > end:
        settling = (
            ChainLink(
                wait=Wait.SETTLING,
                job=job,
                activity=due.activity,
                since=end,
                until=due.ready(end),
                behind=due.activity,
                of=job,
            ),
        )
    return settling + _Walk(problem, plan).back_from(due.activity)[1]


@dataclass(frozen=True, kw_only=True)
class _Taken:
    """What holds a resource, from when to when."""

    key: str
    start: int
    end: int
    demand: int


class _Walk:
    """A plan, walked back through; each activity is looked at once."""

    def __init__(self, problem: Problem, plan: Plan) -> None:
        self.activities = {each.key: each for each in problem.activities}
        self.resources = {each.key: each for each in problem.resources}
        self.spans = {each.key: each for each in problem.spans}
        self.into = links_by_after(problem)
        self.placed = plan.by_key
        self.seen: dict[str, tuple[bool, Chain]] = {}
        self.taken: dict[str, list[_Taken]] = defaultdict(list)
        for each in problem.activities:
            self._take(each.key, each.needs)
        for span in problem.spans:
            self._take(span.key, (span.need,))

    def _take(self, key: str, needs: tuple[Need, ...]) -> None:
        for name, demand in self._served(key, needs):
            at = self.placed[key]
            held = _Taken(key=key, start=at.start, end=at.end, demand=demand)
            self.taken[name].append(held)

    def _served(self, key: str, needs: tuple[Need, ...]) -> Iterator[tuple[str, int]]:
        """Who serves, and how much of each is asked."""
        if key in self.placed:
            demands = [need.demand for need in needs for _ in range(need.count)]
            yield from zip(self.placed[key].resources, demands, strict=True)

    def back_from(self, key: str) -> tuple[bool, Chain]:
        """Whether the walk ends at something that stands firm, and the walk.

        Of several things in the way the first is followed that does; else the first.
        """
        if key in self.seen or key not in self.placed:
            return self.seen.get(key, (False, ()))
        self.seen[key] = (False, ())
        found: list[tuple[bool, Chain]] = []
        for link, behind in self._waits(self.activities[key]):
            firm, rest = (True, ()) if not behind else self.back_from(behind)
            found.append((firm, (link, *rest)))
            if firm:
                break
        best = next((each for each in found if each[0]), (found or [(False, ())])[0])
        self.seen[key] = best
        return best

    def _waits(self, activity: Activity) -> Iterator[tuple[ChainLink, str]]:
        """What is in the way, and the activity behind it, the likeliest first."""
        start = self.placed[activity.key].start
        before, since = self._held_by(activity)
        waits = partial(
            ChainLink,
            job=activity.job,
            activity=activity.key,
            since=min(since, start),
        )
        tick = _last_startable(activity, since, start)
        is_fixed = activity.fixed_start is not None
        if tick is None and before is None and not is_fixed:
            yield waits(wait=Wait.ARRIVAL, until=start), ""
            return
        if tick is None and before:
            wait = Wait.STAGE if before.start_by_end is None else Wait.SETTLING
            wait = wait if since == start else Wait.OPENING
            behind = self.activities[before.before]
            yield (
                waits(wait=wait, until=start, behind=behind.key, of=behind.job),
                behind.key,
            )
            tick = _last_startable(activity, 0, start)
        if tick is not None:
            yield from self._resources(activity, tick, waits)
        if is_fixed:
            yield waits(wait=Wait.PIN, until=start), ""

    def _resources(
        self, activity: Activity, tick: int, waits: Callable[..., ChainLink]
    ) -> Iterator[tuple[ChainLink, str]]:
        for name, key, until in self._in_the_way(activity, tick):
            if not key:
                yield waits(wait=Wait.AWAY, until=until, resource=name), ""
                continue
            last = self.spans[key].last if key in self.spans else key
            job = self.activities[last].job
            yield (
                waits(wait=Wait.TAKEN, until=until, behind=key, of=job, resource=name),
                last,
            )

    def _held_by(self, activity: Activity) -> tuple[Link | None, int]:
        """The link that holds it longest, and until when; tick 0 without one."""
        held: tuple[Link | None, int] = None, 0
        for link in self.into[activity.key]:
            if before := self.placed.get(link.before):
                at = earliest_after(link, start=before.start, end=before.end)
                if held[0] is None or at > held[1]:
                    held = link, at
        return held

    def _in_the_way(
        self, activity: Activity, tick: int
    ) -> Iterator[tuple[str, str, int]]:
        """Its resources that it could not have from this tick on.

        The resource, what holds it ("" if it is not there), and until when; what it
        could not have done without anyone else first, and spans before people.
        """
        placed = self.placed[activity.key]
        end = end_of(activity, start=tick, size=placed.end - placed.start)
        asked = [
            (span.need, name, demand, (tick, self.placed[span.key].end), span.key)
            for span in self.spans.values()
            if span.first == activity.key
            for name, demand in self._served(span.key, (span.need,))
        ]
        slots = [need for need in activity.needs for _ in range(need.count)]
        asked += [
            (need, name, demand, (tick, end), activity.key)
            for need, (name, demand) in zip(
                slots, self._served(activity.key, activity.needs), strict=True
            )
        ]
        found = []
        for need, name, demand, at, own in asked:
            if (hold := self._hold(name, demand, at, own)) is not None:
                others = {choice.resource for choice in need.choices} - {name}
                free = any(self._hold(o, demand, at, own) is None for o in others)
                found.append((free, name, *hold))
        for _, name, key, until in sorted(found, key=lambda each: each[0]):
            yield name, key, until

    def _hold(
        self, name: str, demand: int, at: Interval, own: str
    ) -> tuple[str, int] | None:
        """What holds a resource in that time, until when; None if it can be had."""
        begin, end = at
        held = [
            each
            for each in self.taken[name]
            if each.key != own and each.start < min(end, each.end) and begin < each.end
        ]
        room = self.resources[name].capacity - demand
        shut = [b for a, b in self.resources[name].closed if a < end and begin < b]
        last = max(held, key=lambda each: each.end, default=None)
        is_full = _peak(held, begin) > room
        if shut and not (last and is_full and last.end > max(shut)):
            return "", max(shut)
        return (last.key, last.end) if last and is_full else None


def _peak(held: list[_Taken], begin: int) -> int:
    """The most that is taken at once, from a tick on."""
    ticks = {max(begin, each.start) for each in held}
    return max(
        (sum(o.demand for o in held if o.start <= tick < o.end) for tick in ticks),
        default=0,
    )


def _last_startable(activity: Activity, since: int, before: int) -> int | None:
    """The last tick before the start at which it might begin; None without one."""
    windows = ((0, before),) if activity.starts is None else activity.starts
    ticks = [
        min(closes, before) - 1
        for opens, closes in windows
        if max(opens, since) < min(closes, before)
    ]
    return max(ticks, default=None)
