"""A plan of ticks as steps in moments (pure)."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import datetime

from jobs.plan.calendar import Calendar, opening_min
from jobs.plan.chain import Chain
from jobs.plan.planned import CarPlanned, Step
from jobs.plan.shop import Part
from jobs.scheduling.problem import Activity, Placed, look_up

PERSON = "person-"


def steps_of(
    chain: Chain,
    placed: Mapping[str, Placed],
    *,
    calendar: Calendar,
    led: Mapping[str, tuple[str, ...]],
) -> Iterator[Step]:
    """The steps of a car: its work, its bay, its place, its film settling.

    led  who did a piece in the plan in force: of two people the same one leads
    """
    car = chain.car.key
    bay = next(
        (
            placed[span.key].resources[0]
            for span in chain.spans
            if span.key.endswith(f"/{Part.STAY.value}/0")
        ),
        "",
    )
    for key, piece in chain.pieces.items():
        at, activity = placed[key], chain.activities[key]
        people, help_by, spot = _who(at, activity, is_helped=bool(piece.help))
        if help_by and led.get(key) == help_by and _may_swap(activity, help_by, people):
            people, help_by = help_by, people
        part, number = piece.work.part, piece.number
        when = (calendar.start_of(at.start), calendar.end_of(at.end))
        in_bay = bay if piece.work.in_bay else ""
        yield _step(car, part, when, spot=spot or in_bay, people=people, number=number)
        if help_by:
            yield _step(
                car, Part.HELP, when, spot=in_bay, people=help_by, number=number
            )
    yield from _holds(chain, placed, bay=bay, calendar=calendar)


def _holds(
    chain: Chain, placed: Mapping[str, Placed], *, bay: str, calendar: Calendar
) -> Iterator[Step]:
    """The stay in its bay, in its place, and its film settling there."""
    car = chain.car.key
    for span in chain.spans:
        part = Part(span.key.split("/")[-2])
        held = placed[span.key]
        if held.start < held.end:
            when = (
                _begins(chain, held.start, part, calendar),
                calendar.end_of(held.end),
            )
            yield _step(car, part, when, spot=held.resources[0])
    settles = settling_of(chain, placed, calendar=calendar)
    if settles and settles[0] < settles[1]:
        places = [span for span in chain.spans if Part.PARKED.value in span.key]
        spot = placed[places[0].key].resources[0] if places else bay
        yield _step(car, Part.SETTLING, settles, spot=spot)


def _step(
    car: str,
    part: Part,
    when: tuple[datetime, datetime],
    *,
    spot: str = "",
    people: tuple[str, ...] = (),
    number: int = 0,
) -> Step:
    return Step(
        car=car,
        part=part,
        starts_at=when[0],
        ends_at=when[1],
        spot=spot,
        people=people,
        number=number,
    )


def _begins(chain: Chain, tick: int, part: Part, calendar: Calendar) -> datetime:
    """A car is moved to its place in the evening, right after the work."""
    if part is Part.PARKED and chain.parks:
        return calendar.end_of(tick)
    return calendar.start_of(tick)


def _who(
    placed: Placed, activity: Activity, *, is_helped: bool
) -> tuple[tuple[str, ...], tuple[str, ...], str]:
    """People, the helper, and the place, by the order of the needs."""
    groups, at = [], 0
    for need in activity.needs:
        groups.append(placed.resources[at : at + need.count])
        at += need.count
    people = [group for group in groups if group and group[0].startswith(PERSON)]
    spots = [group[0] for group in groups if group and group not in people]
    helper = people.pop() if is_helped and len(people) > 1 else ()
    return people[0] if people else (), helper, spots[0] if spots else ""


def _may_swap(
    activity: Activity, lead: tuple[str, ...], helper: tuple[str, ...]
) -> bool:
    """Whether a helper can lead and the other help."""
    return len(lead) == len(helper) and all(
        {*keys} <= {one.resource for one in need.choices}
        for keys, need in zip((lead, helper), activity.needs, strict=False)
    )


def settling_of(
    chain: Chain, placed: Mapping[str, Placed], *, calendar: Calendar
) -> tuple[datetime, datetime] | None:
    """From the end of the work, when its film settles, until it has."""
    car, laid = chain.car, chain.film or chain.last
    after = calendar.end_of(placed[chain.parks or chain.last].end) if laid else None
    ends = [car.settles_until] if car.settles_until else []
    if car.settling is not None and laid:
        ends.append(calendar.settled(placed[laid].end, car.settling))
    if not ends or after is None:
        return None
    return after, max(ends)


def ready_at(chain: Chain, end: int, *, calendar: Calendar) -> datetime:
    """The end of the last work; else the opening at which it is ready."""
    if chain.ready in chain.pieces:
        return calendar.end_of(end)
    return calendar.start_of(min(end, calendar.count - 1))


def car_planned(
    chain: Chain, placed: Mapping[str, Placed], *, calendar: Calendar
) -> CarPlanned:
    """When a car is ready, at the latest too, and how late."""
    car = chain.car
    ready = ready_at(chain, placed[chain.ready].end, calendar=calendar)
    late = opening_min(
        calendar.opening, zone=calendar.zone, since=car.promised_at, until=ready
    )
    latest = ready_at(chain, latest_end(chain, placed), calendar=calendar)
    return CarPlanned(
        car=car.key,
        ready_at=ready,
        latest_at=max(ready, latest),
        promised_at=car.promised_at,
        late_min=max(late, int(ready > car.promised_at)),
    )


def latest_end(chain: Chain, placed: Mapping[str, Placed]) -> int:
    """The end of the last work where each work of the car takes the long estimate.

    From the planned starts on: what comes later waits for what takes longer, in
    opening time and again through the cure. Other cars stay as planned.
    """
    ends: dict[str, int] = {}
    starts: dict[str, int] = {}
    for key, activity in chain.activities.items():
        start = placed[key].start
        for link in chain.links:
            if link.after == key and link.before in ends:
                at = starts[link.before] if link.from_start else ends[link.before]
                at = look_up(link.start_by_end, at) if link.start_by_end else at
                start = max(start, at + link.lag)
        if start > placed[key].start and activity.starts:
            later = (max(start, a) for a, b in activity.starts if max(start, a) < b)
            start = next(later, start)
        piece = chain.pieces.get(key)
        starts[key] = start
        ends[key] = start + activity.size + (piece.more if piece else 0)
    return ends[chain.ready]
