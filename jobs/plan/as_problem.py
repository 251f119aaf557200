"""The chains of all cars as one problem (pure)."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import timedelta

from jobs.plan.calendar import Calendar
from jobs.plan.chain import Chain
from jobs.plan.pieces import Floor
from jobs.plan.planned import ShopPlan
from jobs.plan.shop import Part
from jobs.scheduling.problem import (
    Activity,
    Choice,
    Level,
    Need,
    Placed,
    Problem,
    Resource,
)

WEEK = timedelta(days=7)


def problem_of(
    chains: Sequence[Chain],
    *,
    floor: Floor,
    in_force: ShopPlan | None,
    fixed: ShopPlan | None,
) -> Problem:
    """The problem: change counts where there is a plan in force."""
    goals = (Level.LATE, Level.CHANGE, Level.STAY) if in_force else ()
    held = tuple(_held(fixed, floor)) if fixed else ()
    return Problem(
        name="shop",
        horizon=_horizon(chains, floor.calendar),
        activities=tuple(each for chain in chains for each in chain.activities.values())
        + held,
        links=tuple(link for chain in chains for link in chain.links),
        resources=tuple(sorted(_resources(floor), key=lambda resource: resource.key)),
        spans=tuple(span for chain in chains for span in chain.spans),
        dues=tuple(chain.due for chain in chains if chain.due),
        pairs=tuple(pair for chain in chains for pair in chain.pairs),
        levels=goals or (Level.LATE, Level.STAY),
        previous=tuple(_previous(chains, in_force, floor)) if in_force else (),
    )


def _horizon(chains: Sequence[Chain], calendar: Calendar) -> int:
    """A week after the last promise and arrival: how far a search looks."""
    moments = [
        each
        for chain in chains
        for each in (chain.car.promised_at, chain.car.arrives_at, chain.car.ready_from)
        if each
    ]
    last = max(moments, default=calendar.starts_at)
    return calendar.floor(max(last, calendar.starts_at) + WEEK)


def _resources(floor: Floor) -> Iterator[Resource]:
    for key, closed in floor.closed.items():
        spot = floor.spots.get(key)
        room = spot.room_for if spot else 1
        yield Resource(key=key, capacity=room, closed=closed)


def _held(fixed: ShopPlan, floor: Floor) -> Iterator[Activity]:
    """Places with room for several, as far as cars that stay take them."""
    for step in fixed.steps:
        spot = floor.spots.get(step.spot)
        closed = floor.calendar.closed([(step.starts_at, step.ends_at)])
        is_place = step.part in (Part.PARKED, Part.STAY, Part.PREP, Part.CUT)
        if spot is None or spot.room_for == 1 or not closed or not is_place:
            continue
        ((first, until),) = closed
        yield Activity(
            key=f"held/{step.key}",
            job=f"held/{step.car}",
            size=until - first,
            needs=(Need(choices=(Choice(resource=spot.key),)),),
            fixed_start=first,
        )


def _previous(
    chains: Sequence[Chain], plan: ShopPlan, floor: Floor
) -> Iterator[Placed]:
    """The plan in force on this row of ticks; what has begun counts from now."""
    helped = {
        (step.car, step.number): step.people
        for step in plan.steps
        if step.part is Part.HELP
    }
    pieces = {key: each for chain in chains for key, each in chain.pieces.items()}
    spans = {span.key for chain in chains for span in chain.spans}
    parks = {chain.car.key: chain.parks for chain in chains if chain.parks}
    for step in plan.steps:
        if step.part is Part.PARKED and step.car in parks:
            moved = floor.calendar.floor(step.starts_at)
            yield Placed(key=parks[step.car], start=moved, end=moved)
        start = floor.calendar.ceil(step.starts_at)
        end = max(start, floor.calendar.floor(step.ends_at))
        if step.key in spans:
            yield Placed(key=step.key, start=start, end=end, resources=(step.spot,))
        elif piece := pieces.get(step.key):
            more = helped.get((step.car, step.number), ()) if piece.help else ()
            own = (step.spot,) if piece.work.spot and step.spot else ()
            names = tuple(
                key for key in (*step.people, *more, *own) if key in floor.closed
            )
            yield Placed(key=step.key, start=start, end=end, resources=names)
