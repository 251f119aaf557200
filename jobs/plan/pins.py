"""What is bound to a tick, a person or a bay before anything is searched (pure).

What goes on comes first, then the film that is cut, then what the plan in force has
within its freeze. What does not fit beside what was bound before stays free: a plan of
all cars is worth more than a pin.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import replace

from jobs.plan.building import within
from jobs.plan.chain import Chain
from jobs.plan.needs import need_of
from jobs.plan.pieces import Floor
from jobs.plan.planned import Step
from jobs.plan.shop import Part
from jobs.scheduling.problem import Activity, Interval, Need, Problem, Span
from jobs.scheduling.ready_check import earliest_times
from shopapp.say import Say, say


class Bound:
    """The ticks for which people and spots are bound."""

    def __init__(self, floor: Floor) -> None:
        self._floor = floor
        self._taken: dict[str, list[Interval]] = defaultdict(list)

    def is_free(self, keys: Iterable[str], start: int, end: int) -> bool:
        """Whether all of these are there and have room from start to end."""
        spots = self._floor.spots
        return all(
            self._floor.is_free(key, start, end)
            and sum(a < end and start < b for a, b in self._taken[key])
            < (spots[key].room_for if key in spots else 1)
            for key in keys
        )

    def take(self, keys: Iterable[str], start: int, end: int) -> None:
        """Bind them from start to end."""
        for key in keys:
            self._taken[key].append((start, end))


def times_of(chain: Chain) -> dict[str, Interval]:
    """The soonest that each activity of a car can be, were the shop its own."""
    return earliest_times(
        Problem(
            name="",
            horizon=0,
            activities=tuple(chain.activities.values()),
            links=tuple(chain.links),
        )
    )


def pin_begun(chain: Chain, *, bound: Bound, floor: Floor) -> None:
    """What is going on goes on by the same people, from now on."""
    for place, (key, piece) in enumerate(list(chain.pieces.items())):
        work = piece.work
        if not work.began:
            continue
        activity = chain.activities[key]
        choices = {one.resource for need in activity.needs for one in need.choices}
        by = tuple(sorted(set(work.by) & set(floor.hands) & choices))
        is_next = place == 0 and chain.release == 0
        if by and is_next and not floor.stays(by):
            chain.assumed.append(
                say(
                    "{people} is away: {part} of {car} goes on with others.",
                    people=", ".join(by),
                    part=work.part.value,
                    car=chain.car.key,
                )
            )
            continue
        by = by[: sum(need.count for need in activity.needs if _is_of(need, by))]
        start = None
        if by and is_next:
            start = 0 if bound.is_free(by, 0, piece.size) else None
            chain.assumed += [] if start == 0 else [_busy(chain, by, work.part)]
        if start == 0:
            bound.take(by, 0, piece.size)
        chain.activities[key] = replace(activity, pinned=by, fixed_start=start)


def pin_beside(chain: Chain, *, bound: Bound, floor: Floor) -> None:
    """The place and the second person of what goes on, when all at work are bound.

    What is taken by others is done without: the work is going on all the same.
    """
    for key, piece in chain.pieces.items():
        activity = chain.activities[key]
        if not piece.work.began or activity.fixed_start != 0:
            continue
        needs, pinned, at_it = [], list(activity.pinned), list(activity.pinned)
        for need in activity.needs:
            mine = [one for one in at_it if _is_of(need, (one,))][: need.count]
            at_it = [one for one in at_it if one not in mine]
            if len(mine) < need.count:
                free = _free_of(need, chain, pinned, size=piece.size, bound=bound)
                mine += free[: need.count - len(mine)]
                bound.take(set(mine) - set(pinned), 0, piece.size)
                pinned += [one for one in mine if one not in pinned]
            if mine:
                needs.append(replace(need, count=len(mine)))
        chain.activities[key] = replace(
            activity, needs=tuple(needs), pinned=tuple(pinned)
        )


def _is_of(need: Need, keys: Sequence[str]) -> bool:
    """Whether one of these can serve it."""
    return any(choice.resource in keys for choice in need.choices)


def _free_of(
    need: Need, chain: Chain, beside: Sequence[str], *, size: int, bound: Bound
) -> list[str]:
    """Who or what can serve from now on: where it stands and its own people first."""
    own = (chain.car.place, *chain.car.people)
    keys = {choice.resource for choice in need.choices} - set(beside)
    free = [key for key in keys if bound.is_free((key,), 0, size)]
    return sorted(free, key=lambda key: (key not in own, key))


def _busy(chain: Chain, people: Sequence[str], part: Part) -> Say:
    return say(
        "{people} is at work on another car: {part} of {car} goes on after that.",
        people=", ".join(people),
        part=part.value,
        car=chain.car.key,
    )


def pin_standing(
    chain: Chain, *, bound: Bound, floor: Floor, moves: bool = False
) -> None:
    """A car that stands in a bay keeps it, if nobody else stands there.

    moves  it is taken out: no plan was found in which it stays
    """
    times = times_of(chain)
    for place, span in enumerate(chain.spans):
        if span.first != chain.here or not span.pinned:
            continue
        until = max(times[span.last][1], 1)
        has_room = floor.spots[span.pinned[0]].room_for > 1
        if not moves and (bound.is_free(span.pinned, 0, until) or has_room):
            bound.take(span.pinned, 0, until)
            continue
        chain.assumed.append(
            say(
                "{car} cannot stay in {bay}: it is closed or another car has it.",
                car=chain.car.key,
                bay=span.pinned[0],
            )
        )
        chain.spans[place] = _moved_out(chain, span, floor=floor)


def _moved_out(chain: Chain, span: Span, *, floor: Floor) -> Span:
    """The car takes any bay of its kind, from its next work in one on."""
    in_bay = [key for key, one in chain.pieces.items() if one.work.in_bay]
    spots = set(floor.of_kind(chain.car.bay_kind)) or set(span.pinned)
    if floor.spots[span.pinned[0]].kind != chain.car.bay_kind and not in_bay:
        spots = {one.resource for one in span.need.choices}
    return replace(
        span,
        first=in_bay[0] if in_bay else chain.ready,
        need=need_of(spots),
        pinned=(),
    )


def pin_as_planned(
    chains: Sequence[Chain], steps: Iterable[Step], *, bound: Bound, floor: Floor
) -> None:
    """Steps of the plan in force that begin within the freeze stay where they are."""
    calendar = floor.calendar
    freeze = round(floor.facts.freeze_h * 60 / calendar.tick_min)
    by_car = {chain.car.key: chain for chain in chains}
    steps = tuple(steps)
    helpers = {
        (each.car, each.number): each.people for each in steps if each.part is Part.HELP
    }
    for step in sorted(steps, key=lambda one: (one.starts_at, one.key)):
        chain = by_car.get(step.car)
        if chain is None or step.starts_at < calendar.starts_at:
            continue
        start = calendar.ceil(step.starts_at)
        if start >= min(freeze, calendar.count):
            break
        if calendar.start_of(start) != step.starts_at:
            continue
        if step.part is Part.STAY:
            _keep_bay(chain, step.spot, bound=bound)
        elif step.part not in (Part.HELP, Part.PARKED, Part.SETTLING):
            more = helpers.get((step.car, step.number), ())
            helped = more if step.part is Part.INSTALL else ()
            _keep(chain, step, start=start, helped=helped, bound=bound)


def _keep_bay(chain: Chain, bay: str, *, bound: Bound) -> None:
    """The bay of a stay that begins soon, if the car may use it and it is free."""
    times = times_of(chain)
    for place, span in enumerate(chain.spans):
        choices = {one.resource for one in span.need.choices}
        if span.key.endswith("/stay/0") and not span.pinned and bay in choices:
            start, end = times[span.first][0], times[span.last][1]
            if bound.is_free((bay,), start, end):
                chain.spans[place] = replace(span, pinned=(bay,))


def _keep(
    chain: Chain, step: Step, *, start: int, helped: tuple[str, ...], bound: Bound
) -> None:
    activity = chain.activities.get(step.key)
    if activity is None or activity.fixed_start is not None:
        return
    times = times_of(chain)
    end = start + activity.size
    choices = {one.resource for need in activity.needs for one in need.choices}
    people = tuple(key for key in step.people if key in choices)
    people += tuple(key for key in (step.spot,) if key in choices and key not in people)
    can = (
        times[step.key][0] <= start
        and within(activity.starts or ((0, start + 1),), start, start + 1)
        and bound.is_free(people, start, end)
        and len(people) <= sum(need.count for need in activity.needs)
    )
    if not can:
        return
    bays = _bays_from(chain, activity)
    if not bound.is_free(bays, start, end):
        return
    bound.take((*people, *bays), start, end)
    chain.activities[step.key] = replace(activity, fixed_start=start, pinned=people)


def _bays_from(chain: Chain, activity: Activity) -> tuple[str, ...]:
    """The bay that a stay holds from this activity on, where it is bound."""
    return tuple(
        key for span in chain.spans if span.first == activity.key for key in span.pinned
    )
