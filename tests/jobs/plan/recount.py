"""A plan of a shop counted again in real moments.

Shares nothing with the calendar, the adapter or the axis: days are walked one by one
from the opening hours, and every moment is compared in UTC.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator
from datetime import UTC, datetime, timedelta
from itertools import combinations, pairwise

from jobs.cure.dates import settled_at
from jobs.plan.planned import ShopPlan, Step
from jobs.plan.shop import Car, Part, ShopFacts, Skill

Times = tuple[datetime, datetime]
NO_WORK = (Part.STAY, Part.PARKED, Part.SETTLING)


def open_days(facts: ShopFacts, since: datetime, until: datetime) -> Iterator[Times]:
    """Opening and closing between two moments, in UTC."""
    day = since.astimezone(facts.now.tzinfo).date() - timedelta(days=1)
    while day <= until.astimezone(facts.now.tzinfo).date():
        hours = facts.opening.hours_on(day)
        if hours:
            opens = datetime.combine(day, hours.opens_at, tzinfo=facts.now.tzinfo)
            closes = datetime.combine(day, hours.closes_at, tzinfo=facts.now.tzinfo)
            first, last = opens.astimezone(UTC), closes.astimezone(UTC)
            if first < until and since < last:
                yield first, last
        day += timedelta(days=1)


def worked(facts: ShopFacts, step: Step) -> list[Times]:
    """The pieces of a step in which the shop is open; a day is cut to whole ticks."""
    tick = timedelta(minutes=facts.tick_min)
    found = []
    for opens, closes in open_days(facts, step.starts_at, step.ends_at):
        last = opens + (closes - opens) // tick * tick
        piece = (max(opens, step.starts_at), min(last, step.ends_at))
        if piece[0] < piece[1]:
            found.append(piece)
    return found


def open_minutes(facts: ShopFacts, since: datetime, until: datetime) -> int:
    """Minutes open between two moments."""
    total = timedelta()
    for opens, closes in open_days(facts, since, until):
        total += max(timedelta(), min(closes, until) - max(opens, since))
    return total // timedelta(minutes=1)


def complaints(facts: ShopFacts, plan: ShopPlan) -> list[str]:
    """All that is wrong with a plan."""
    steps: dict[str, list[Step]] = defaultdict(list)
    for step in plan.steps:
        steps[step.car].append(step)
    planned = {each.car for each in plan.cars}
    left_out = {key for key, _ in plan.unplaced}
    found = [
        f"{c.key} is nowhere" for c in facts.cars if c.key not in planned | left_out
    ]
    found += [f"{key} is twice" for key in planned & left_out]
    for step in plan.steps:
        found += _step(facts, step)
    for car in facts.cars:
        if car.key in planned:
            found += _car(facts, car, steps[car.key])
            found += _promise(facts, car, plan, steps[car.key])
    return found + list(_people(facts, plan.steps)) + list(_spots(facts, plan.steps))


def _step(facts: ShopFacts, step: Step) -> Iterator[str]:
    said = f"{step.key} {step.starts_at:%a %H:%M} to {step.ends_at:%a %H:%M} UTC"
    if step.starts_at < facts.now or step.ends_at < step.starts_at:
        yield f"{said}: before now or backwards"
    if step.part in NO_WORK:
        return
    pieces = worked(facts, step)
    if not pieces or pieces[0][0] != step.starts_at or pieces[-1][1] != step.ends_at:
        yield f"{said}: begins or ends while the shop is closed"
    for key in step.people:
        away = next(hand.away for hand in facts.hands if hand.key == key)
        if any(a < end and start < b for a, b in away for start, end in pieces):
            yield f"{said}: {key} is away"


def _car(facts: ShopFacts, car: Car, steps: list[Step]) -> Iterator[str]:
    """Each work as long as it is, in order, by those who can, in one bay."""
    tick = facts.tick_min
    last = max(facts.now, car.arrives_at) if not car.is_here else facts.now
    stay = [step for step in steps if step.part is Part.STAY]
    skills = {hand.key: hand.skills for hand in facts.hands}
    for work in car.works:
        if work.part is Part.HELP:
            continue
        mine = sorted(
            (step for step in steps if step.part is work.part),
            key=lambda step: step.starts_at,
        )
        pieces = [piece for step in mine for piece in worked(facts, step)]
        minutes = sum((b - a) // timedelta(minutes=1) for a, b in pieces)
        if minutes != max(1, -(-work.minutes // tick)) * tick:
            yield f"{car.key} {work.part}: {minutes} min instead of {work.minutes}"
        longest = max(
            (b - a for a, b in open_days(facts, *_around(facts))), default=timedelta()
        )
        fits = timedelta(minutes=work.minutes) <= longest
        pauses = work.may_pause or not fits
        if not pauses and any(len(worked(facts, step)) > 1 for step in mine):
            yield f"{car.key} {work.part} goes over closing time"
        for step in mine:
            if step.starts_at < last:
                yield f"{step.key} begins before what it waits for"
            last = step.ends_at
            if work.skill and not work.began:
                able = [key for key, has in skills.items() if work.skill in has]
                if len(step.people) != min(work.people, len(able)):
                    yield f"{step.key} is done by {step.people}"
                if any(
                    work.skill is not Skill.ANY and work.skill not in skills[key]
                    for key in step.people
                ):
                    yield f"{step.key}: {step.people} cannot do it"
            if work.in_bay and not any(
                each.starts_at <= step.starts_at
                and step.ends_at <= each.ends_at
                and each.spot == step.spot
                for each in stay
            ):
                yield f"{step.key} is done outside its bay"
    yield from _film(facts, car, steps)
    yield from _beside(facts, car, steps)


def _beside(facts: ShopFacts, car: Car, steps: list[Step]) -> Iterator[str]:
    """A helper is there with the installer; film is cut before it is laid."""
    films = [step for step in steps if step.part is Part.INSTALL]
    for step in steps:
        if step.part is Part.HELP and not any(
            (film.starts_at, film.ends_at) == (step.starts_at, step.ends_at)
            and film.people
            and not set(film.people) & set(step.people)
            for film in films
        ):
            yield f"{step.key} is beside nobody"
        if step.part is Part.CUT:
            cut = sum((b - a for a, b in worked(facts, step)), timedelta())
            tick = facts.tick_min
            if car.cut and cut != timedelta(minutes=-(-car.cut.minutes // tick) * tick):
                yield f"{step.key} takes {cut}"
            if any(film.starts_at < step.ends_at for film in films):
                yield f"{step.key} is after the film work"


def _around(facts: ShopFacts) -> Times:
    return facts.now, facts.now + timedelta(days=60)


def _film(facts: ShopFacts, car: Car, steps: list[Step]) -> Iterator[str]:
    """The final look waits for the film, in elapsed time."""
    laid = [step.ends_at for step in steps if step.part is Part.INSTALL]
    look = [step.starts_at for step in steps if step.part is Part.LOOK]
    waits = [each for each in (car.ready_from, car.settles_until) if each]
    if car.settling and laid:
        local = max(laid).astimezone(facts.now.tzinfo)
        waits.append(
            settled_at(laid_at=local, settling=car.settling, opening=facts.opening)
        )
    if look and any(look[0] < each for each in waits):
        yield f"{car.key} is looked at before its film has settled"
    for step in steps:
        if step.part is Part.PARKED and look and step.ends_at < look[0]:
            yield f"{car.key} leaves its place before the final look"


def _promise(
    facts: ShopFacts, car: Car, plan: ShopPlan, steps: list[Step]
) -> Iterator[str]:
    row = next(each for each in plan.cars if each.car == car.key)
    look = [step.ends_at for step in steps if step.part is Part.LOOK]
    if look and row.ready_at != max(look):
        yield f"{car.key} is said to be ready at {row.ready_at}"
    late = open_minutes(facts, car.promised_at, row.ready_at)
    if (row.late_min > 0) != (row.ready_at > car.promised_at):
        yield f"{car.key} late or not: {row.late_min}"
    if late and row.late_min != late:
        yield f"{car.key} is {late} min late, not {row.late_min}"
    if row.latest_at < row.ready_at:
        yield f"{car.key}: latest before ready"


def _people(facts: ShopFacts, steps: Iterable[Step]) -> Iterator[str]:
    held: dict[str, list[Step]] = defaultdict(list)
    for step in steps:
        for key in step.people:
            held[key].append(step)
    for key, mine in held.items():
        for one, other in combinations(mine, 2):
            if one.starts_at < other.ends_at and other.starts_at < one.ends_at:
                yield f"{key} does {one.key} and {other.key} at once"


def _spots(facts: ShopFacts, steps: Iterable[Step]) -> Iterator[str]:
    """No more in a place than it has room for; a bay holds one car for its stay."""
    held: dict[str, list[Step]] = defaultdict(list)
    stays = {
        (step.car, step.spot) for step in steps if step.part in (Part.STAY, Part.PARKED)
    }
    for step in steps:
        is_stay = step.part in (Part.STAY, Part.PARKED)
        if step.spot and (is_stay or (step.car, step.spot) not in stays):
            held[step.spot].append(step)
    for spot in facts.spots:
        edges = [(step.starts_at, 1) for step in held[spot.key]]
        edges += [(step.ends_at, -1) for step in held[spot.key]]
        count = 0
        for _, change in sorted(edges):
            count += change
            if count > spot.room_for:
                yield f"{spot.key} holds {count}"
        for step in held[spot.key]:
            for a, b in spot.closed:
                open_then = any(
                    max(a, opens, step.starts_at) < min(b, closes, step.ends_at)
                    for opens, closes in open_days(facts, step.starts_at, step.ends_at)
                )
                if open_then:
                    yield f"{step.key} is in {spot.key} while it is closed"


def in_a_row(steps: Iterable[Step]) -> bool:
    """Whether no two steps overlap."""
    ordered = sorted(steps, key=lambda step: step.starts_at)
    return all(a.ends_at <= b.starts_at for a, b in pairwise(ordered))
