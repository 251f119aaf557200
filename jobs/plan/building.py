"""A car's works as activities, its bay as a span, its promise (pure).

The works follow each other. The bay is held from the first work there to the last, or
to where the car settles. Film settles in elapsed time from the end of the film work;
the final look waits for that.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import UTC, datetime, timedelta

from jobs.plan.calendar import Calendar
from jobs.plan.chain import Chain
from jobs.plan.needs import helper_of, need_of, needs_of
from jobs.plan.pieces import Floor, Piece, pieces_of, step_key
from jobs.plan.shop import CLEARED_IN, SETTLING, Car, Part, Work
from jobs.scheduling.problem import Activity, Due, Interval, Link, Pair, Span
from shopapp.say import Say, say

GRACE = timedelta(hours=1)
"""So long a car that has not come is waited for. Common practice, no source."""


def chain_of(car: Car, *, floor: Floor, before: Mapping[str, int]) -> Chain:
    """A car's works, its bay and its promise; nothing is pinned to a time yet.

    before  for each key of a step still to come in the plan in force its ticks; 0
            where it should have begun
    """
    chain = Chain(car=car, release=0)
    chain.release = floor.calendar.ceil(comes_at(car, floor=floor, said=chain.assumed))
    if car.is_here:
        here = Activity(key=f"{car.key}/here", job=car.key, size=0, fixed_start=0)
        chain.last = chain.here = chain.then(here, after="")
    pieces = pieces_of(
        car, floor=floor, before=before, limit=lambda work: _longest(work, floor)
    )
    looks = [piece for piece in pieces if piece.work.part is Part.LOOK]
    for piece in pieces:
        if piece not in looks:
            chain.last = _add(chain, piece, floor=floor, after=chain.last)
    chain.ready = _park(chain, floor=floor) or chain.last
    for piece in looks:
        chain.ready = _add(chain, piece, floor=floor, after=chain.ready)
    if not looks and (chain.waits_for_film() or car.ready_from or not chain.pieces):
        low = max(chain.release, _ready_from(car, floor.calendar))
        starts = ((low, max(low, floor.calendar.count)),)
        mark = Activity(key=f"{car.key}/ready", job=car.key, size=0, starts=starts)
        chain.ready = chain.then(mark, after=chain.ready)
    _settle(chain, calendar=floor.calendar)
    _hold(chain, floor=floor)
    _cut(chain, floor=floor)
    _promise(chain, calendar=floor.calendar)
    return chain


def comes_at(car: Car, *, floor: Floor, said: list[Say]) -> datetime:
    """When work on it can begin; what is assumed about that goes to `said`."""
    now = floor.facts.now.astimezone(floor.calendar.zone)
    opens = floor.facts.opening.opening_after(now)
    if car.is_here and car.is_paused:
        said.append(say("{car} is paused; it goes on at {at}.", car=car.key, at=opens))
        return opens
    if car.is_here:
        return now
    late = now.astimezone(UTC) - car.arrives_at.astimezone(UTC)
    if late <= timedelta():
        return car.arrives_at
    comes = now if late <= GRACE else opens
    said.append(
        say(
            "{car} was expected at {at} and is not here; planned from {comes} on.",
            car=car.key,
            at=car.arrives_at,
            comes=comes,
        )
    )
    return comes


def _longest(work: Work, floor: Floor) -> int | None:
    """The longest piece of a work: as long as a short day of those who do it."""
    if work.skill is None:
        return None
    able = floor.able(work.skill)
    if work.part is Part.INSTALL:
        return floor.shortest_day(able)
    return max((floor.longest_run(key) for key in able), default=None)


def _add(chain: Chain, piece: Piece, *, floor: Floor, after: str) -> str:
    """A piece as an activity after another; film work wants the same hands again."""
    car, work = chain.car, piece.work
    pauses = work.may_pause or piece.size > floor.longest_day()
    if pauses and not work.may_pause:
        chain.assumed.append(
            say(
                "{part} of {car} takes longer than a day is open; it goes on next day.",
                part=work.part.value,
                car=car.key,
            )
        )
    if piece.help and not helper_of(car, piece, floor=floor):
        said = say("{car} is planned without a helper: nobody is there.", car=car.key)
        chain.assumed += [said] if said not in chain.assumed else []
    low = 0 if chain.pieces else chain.release
    if work.part is Part.LOOK:
        low = max(low, _ready_from(car, floor.calendar))
    activity = Activity(
        key=piece.key,
        job=car.key,
        size=piece.size,
        needs=needs_of(car, piece, floor=floor),
        starts=starts_from(floor.calendar, size=piece.size, pauses=pauses, low=low),
    )
    if work.part is Part.INSTALL:
        if chain.film:
            chain.pairs.append(Pair(before=chain.film, after=piece.key))
        chain.film = piece.key
    chain.pieces[piece.key] = piece
    return chain.then(activity, after=after)


def starts_from(
    calendar: Calendar, *, size: int, pauses: bool, low: int
) -> tuple[Interval, ...]:
    """Where a piece may begin: not before `low`, within a day if it may not pause."""
    if pauses:
        return ((low, max(low, calendar.count - size + 1)),)
    return calendar.axis.unbroken(size, since=low)


def within(starts: tuple[Interval, ...], low: int, high: int) -> tuple[Interval, ...]:
    """Starts from `low` up to and without `high`."""
    cut = ((max(a, low), min(b, high)) for a, b in starts)
    return tuple((a, b) for a, b in cut if a < b)


def _ready_from(car: Car, calendar: Calendar) -> int:
    """The first tick of the final look, as far as moments say it."""
    moments = (car.ready_from, car.settles_until)
    return max((calendar.ceil(each) for each in moments if each), default=0)


def _park(chain: Chain, *, floor: Floor) -> str:
    """The mark at which a car goes to a place to settle; the bay is held up to it."""
    if not chain.waits_for_film() or not _places(floor) or _is_parked(chain, floor):
        return ""
    low = chain.release
    if chain.here and chain.car.bay in floor.closed and not _works_in_bay(chain):
        if _has_settled(chain.car, now=floor.facts.now):
            return ""
        low = max(low, floor.calendar.ceil(floor.facts.now + CLEARED_IN))
    key = step_key(chain.car.key, Part.SETTLING)
    starts = ((low, max(low, floor.calendar.count)),)
    mark = Activity(key=key, job=chain.car.key, size=0, starts=starts)
    chain.parks = chain.then(mark, after=chain.last)
    return chain.parks


def _works_in_bay(chain: Chain) -> bool:
    return any(one.work.in_bay for one in chain.pieces.values())


def _has_settled(car: Car, *, now: datetime) -> bool:
    """Whether it is looked at where it stands: nothing is waited for any more."""
    until = car.settles_until
    return car.settling is None and until is not None and until <= now


def _places(floor: Floor) -> tuple[str, ...]:
    return () if floor.facts.settles_in_bay else floor.of_kind(SETTLING)


def _is_parked(chain: Chain, floor: Floor) -> bool:
    """Whether it stands in a place for settling and needs no bay any more."""
    stands = chain.car.is_here and chain.car.place in _places(floor)
    return stands and not _works_in_bay(chain)


def _settle(chain: Chain, *, calendar: Calendar) -> None:
    """The final look waits for the film, from the end of the film work on."""
    laid, settling = chain.film or chain.last, chain.car.settling
    if settling is not None and laid and chain.ready != laid:
        table = calendar.ready_after(settling)
        chain.links.append(Link(before=laid, after=chain.ready, start_by_end=table))


def _hold(chain: Chain, *, floor: Floor) -> None:
    """The bay from the first work there to the last, the place until the car leaves."""
    car, places = chain.car, _places(floor)
    in_bay = [key for key, one in chain.pieces.items() if one.work.in_bay]
    stands = bool(chain.here and car.bay in floor.closed)
    if in_bay or stands:
        last = in_bay[-1] if in_bay else chain.ready
        if chain.waits_for_film():
            settles_here = floor.facts.settles_in_bay or not (in_bay or places)
            last = chain.ready if settles_here else chain.parks or last
        pinned = (car.bay,) if car.bay in floor.closed else ()
        chain.spans.append(
            Span(
                key=step_key(car.key, Part.STAY),
                first=chain.here if stands else in_bay[0],
                last=last,
                need=need_of({*floor.of_kind(car.bay_kind), *pinned}),
                pinned=pinned,
            )
        )
    if chain.parks or _is_parked(chain, floor):
        pinned = (car.place,) if car.place in places and car.is_here else ()
        chain.spans.append(
            Span(
                key=step_key(car.key, Part.PARKED),
                first=chain.parks or chain.here,
                last=chain.ready,
                need=need_of(places),
                pinned=pinned,
            )
        )


def _cut(chain: Chain, *, floor: Floor) -> None:
    """Its film is cut before it is laid; `jobs.plan.cutting` finds the day before."""
    work, film = chain.car.cut, chain.keys_of(Part.INSTALL)
    if work is None or not (work.minutes or work.began):
        return
    size = max(1, floor.calendar.ticks(work.minutes))
    piece = Piece(car=chain.car.key, work=work, number=0, size=size)
    pauses = work.may_pause or size > floor.longest_day()
    activity = Activity(
        key=piece.key,
        job=chain.car.key,
        size=size,
        needs=needs_of(chain.car, piece, floor=floor),
        starts=starts_from(floor.calendar, size=size, pauses=pauses, low=0),
    )
    chain.pieces[piece.key] = piece
    chain.then(activity, after="")
    if film:
        chain.links.append(Link(before=piece.key, after=film[0]))


def _promise(chain: Chain, *, calendar: Calendar) -> None:
    """Late by the end of the last work, or by the opening at which it is ready."""
    car, is_mark = chain.car, chain.ready not in chain.pieces
    late = calendar.late_by_start if is_mark else calendar.late_by_end
    # Its stay counts from its arrival: to begin later would not make it shorter.
    comes = Activity(
        key=f"{car.key}/comes", job=car.key, size=0, fixed_start=chain.release
    )
    chain.due = Due(
        activity=chain.ready,
        since=chain.here or chain.then(comes, after=""),
        weight=car.weight,
        late_by_ready=late(car.promised_at),
    )
