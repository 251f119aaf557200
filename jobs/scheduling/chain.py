"""What a job waits for in a plan, walked back from its last activity (pure).

To be ready earlier its last activity must begin earlier. What stands in the way of
that, all else left where it is: its own stage before, a resource that is taken or not
there, the opening, its arrival, a pin. What is in the way is asked the same, by when it
would have to be out of it, to other jobs too; what could simply move is no reason.
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
from jobs.scheduling.reach import dues_of, last_at_most, latest_before
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
DEEPEST = 50
"""Links after which a walk is long enough."""


def chain(problem: Problem, plan: Plan, job: str) -> Chain:
    """What a job waits for in a plan, the last wait first.

    Empty for a job that the plan does not hold, or that nothing firm keeps from being
    ready earlier: then a better plan is at hand.
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
    walk, start = _Walk(problem, plan), plan.by_key[due.activity].start
    is_firm, links = walk.back_from(due.activity, by=start - 1)
    return settling + links if is_firm else ()


@dataclass(frozen=True, kw_only=True)
class _Taken:
    """What holds a resource, from when to when."""

    key: str
    start: int
    end: int
    demand: int


@dataclass(frozen=True, kw_only=True)
class _InTheWay:
    """A link, and what would have to begin by when for it to be gone.

    behind   "" where nothing could be moved
    is_firm  whether it is in the way at all: nobody else could serve
    """

    link: ChainLink
    behind: str = ""
    by: int = 0
    is_firm: bool = True


class _Walk:
    """A plan, walked back; each activity is looked at once for each tick."""

    def __init__(self, problem: Problem, plan: Plan) -> None:
        self.activities = {each.key: each for each in problem.activities}
        self.resources = {each.key: each for each in problem.resources}
        self.spans = {each.key: each for each in problem.spans}
        self.into = links_by_after(problem)
        self.placed = plan.by_key
        self.seen: dict[tuple[str, int], tuple[bool, Chain]] = {}
        self.horizon = max(problem.horizon, *(at.end for at in plan.placed))
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

    def back_from(self, key: str, *, by: int, depth: int = 0) -> tuple[bool, Chain]:
        """Whether something firm keeps it from beginning by a tick, and the walk to it.

        Of several things in the way the first that is firm is told; else the first.
        """
        if depth > DEEPEST or key not in self.placed:
            return depth > DEEPEST, ()
        if (key, by) in self.seen:
            return self.seen[key, by]
        self.seen[key, by] = (False, ())
        found: list[tuple[bool, Chain]] = []
        for wait in self._waits(self.activities[key], by):
            firm, rest = self._behind(wait, depth=depth + 1)
            found.append((firm and wait.is_firm, (wait.link, *rest)))
            if found[-1][0]:
                break
        best = next((each for each in found if each[0]), (found or [(False, ())])[0])
        self.seen[key, by] = best
        return best

    def _behind(self, wait: _InTheWay, *, depth: int) -> tuple[bool, Chain]:
        if not wait.behind:
            return True, ()
        return self.back_from(wait.behind, by=wait.by, depth=depth)

    def _waits(self, activity: Activity, by: int) -> Iterator[_InTheWay]:
        """What keeps an activity from beginning by a tick, the likeliest first."""
        start, starts = self.placed[activity.key].start, activity.starts
        into = self._allowed(activity)
        since = max([0, *(allowed for allowed, _ in into)])
        waits = partial(
            ChainLink, job=activity.job, activity=activity.key, since=min(since, start)
        )
        tick = _last_startable(activity, by)
        first = starts[0][0] if starts else 0
        not_yet = waits(wait=Wait.OPENING if into else Wait.ARRIVAL, until=first)
        if tick < 0 and first > since:
            yield _InTheWay(link=not_yet)
        at = by if tick < 0 else tick
        for allowed, link in into:
            if allowed > at:
                yield self._stage(activity, link, allowed, by=at, waits=waits)
        if tick >= 0:
            yield from self._resources(activity, tick, waits)
        if activity.fixed_start is not None and activity.fixed_start > by:
            yield _InTheWay(link=waits(wait=Wait.PIN, until=activity.fixed_start))
        if tick < 0:
            yield _InTheWay(link=not_yet)

    def _allowed(self, activity: Activity) -> list[tuple[int, Link]]:
        """Its links with the start that each allows, the latest first."""
        found = []
        for link in self.into[activity.key]:
            if at := self.placed.get(link.before):
                allowed = earliest_after(link, start=at.start, end=at.end)
                found.append((allowed, link))
        return sorted(found, key=lambda each: -each[0])

    def _stage(
        self,
        activity: Activity,
        link: Link,
        allowed: int,
        *,
        by: int,
        waits: Callable[..., ChainLink],
    ) -> _InTheWay:
        """The stage before is in the way, or its settling, or the hours after it."""
        start, behind = self.placed[activity.key].start, self.activities[link.before]
        wait = Wait.STAGE if link.start_by_end is None else Wait.SETTLING
        since = min(allowed, start)
        if allowed < start and _last_startable(activity, start - 1) < allowed:
            wait = Wait.OPENING
        told = waits(
            wait=wait, since=since, until=start, behind=behind.key, of=behind.job
        )
        moment = latest_before(link, by, self.horizon)
        if not link.from_start:
            moment = self._start_for(behind.key, end=moment)
        return _InTheWay(link=told, behind=behind.key, by=moment)

    def _start_for(self, key: str, *, end: int) -> int:
        """When an activity would have to begin to end by a tick."""
        activity, at = self.activities[key], self.placed[key]
        if activity.end_by_start:
            return last_at_most(activity.end_by_start, end, self.horizon)
        return end - (at.end - at.start)

    def _resources(
        self, activity: Activity, tick: int, waits: Callable[..., ChainLink]
    ) -> Iterator[_InTheWay]:
        for name, key, until, is_firm in self._in_the_way(activity, tick):
            if not key:
                link = waits(wait=Wait.AWAY, until=until, resource=name)
                yield _InTheWay(link=link, is_firm=is_firm)
                continue
            last = self.spans[key].last if key in self.spans else key
            yield _InTheWay(
                link=waits(
                    wait=Wait.TAKEN,
                    until=until,
                    behind=key,
                    of=self.activities[last].job,
                    resource=name,
                ),
                behind=last,
                by=self._start_for(last, end=tick),
                is_firm=is_firm,
            )

    def _in_the_way(
        self, activity: Activity, tick: int
    ) -> Iterator[tuple[str, str, int, bool]]:
        """Its resources that it could not have from this tick on.

        The resource, what holds it ("" if it is not there), until when, and whether
        nobody else could do it; those first, and spans before people.
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
        for free, name, key, until in sorted(found, key=lambda each: each[0]):
            yield name, key, until, not free

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


def _last_startable(activity: Activity, by: int) -> int:
    """The last tick up to this one at which it might begin; -1 without one."""
    windows = ((0, by + 1),) if activity.starts is None else activity.starts
    return max((min(b - 1, by) for a, b in windows if a <= by), default=-1)
