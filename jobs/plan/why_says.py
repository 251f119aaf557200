"""Why a promise cannot be kept, in the shop's words (pure).

Sentences hold keys of cars, people and bays, not names: see `jobs.plan.naming`.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from datetime import datetime
from typing import Protocol

from jobs.plan.planned import CarPlanned
from jobs.plan.shop import Car, Part
from jobs.plan.words import PART_WORDS
from jobs.scheduling.alone import Alone
from jobs.scheduling.bottleneck import Bottleneck
from jobs.scheduling.chain import ChainLink, Wait
from jobs.scheduling.problem import Problem, look_up
from jobs.scheduling.together import Clash
from shopapp.say import Say, say

COUNTS = ("none", "one", "two", "three", "four", "five")
EXACT_UNDER_MIN = 600
"""Shorter times are told with their minutes, longer ones in whole hours."""
PARTS = {part.value: part for part in Part}
NEEDS = (
    "Alone in an empty shop it needs {work}: coming {comes} it can be ready {ready} at "
    "the earliest; promised {promised}."
)
STILL_NEEDS = (
    "Alone in an empty shop it still needs {work}: it can be ready {ready} at the "
    "earliest; promised {promised}."
)
Group = tuple[str, ...]
"""Keys of resources, sorted."""


class Clock(Protocol):
    """Ticks as moments: `jobs.plan.calendar.Calendar` is one."""

    @property
    def tick_min(self) -> int:
        """Minutes of opening time in a tick."""

    def start_of(self, tick: int) -> datetime:
        """When what begins at this tick begins."""

    def end_of(self, tick: int) -> datetime:
        """When what ends at this tick ends."""


def alone_says(
    found: Alone, problem: Problem, *, car: Car, clock: Clock, now: datetime
) -> tuple[Say, ...]:
    """That no plan could keep the promise, and what the car needs.

    Of a car that is here only what is left is told.
    """
    if found.ready is None:
        text = (
            "Even in an empty shop there is no room for it: its bay, its people or "
            "its fixed hours are not there for long enough."
        )
        return (say(text),)
    bound = {"ready": _ready(found, clock=clock), "promised": car.promised_at}
    if car.settles_until and car.settles_until > now:
        text = (
            "Its film settles until {until}: it can be ready {ready} at the earliest; "
            "promised {promised}."
        )
        return (say(text, until=car.settles_until, **bound),)
    if car.ready_from and car.ready_from > car.promised_at:
        text = (
            "By the nights of its package it is not handed over before {until}; "
            "promised {promised}."
        )
        return (say(text, until=car.ready_from, **bound),)
    text = STILL_NEEDS if car.is_here else NEEDS
    work, comes = _work_of(found, clock=clock), max(car.arrives_at, now)
    told = say(text, work=work, comes=comes, **bound)
    return told, *_settling(found, problem, clock=clock)


def _ready(found: Alone, *, clock: Clock) -> datetime:
    """In the evening if work ends then; at an opening if it has settled by then."""
    assert found.ready is not None
    last = next(step for step in found.steps if step.key == found.activity)
    if last.start == last.end or found.ready != last.end:
        return clock.start_of(found.ready)
    return clock.end_of(found.ready)


def _work_of(found: Alone, *, clock: Clock) -> str:
    """ "30 min of intake, 8 h of film work and 45 min of inspection"."""
    minutes: dict[str, int] = {}
    for step in found.steps:
        part = part_of(step.key)
        if part and step.end > step.start:
            length = (step.end - step.start) * clock.tick_min
            minutes[PART_WORDS[part]] = minutes.get(PART_WORDS[part], 0) + length
    told = [f"{hours_text(length)} of {word}" for word, length in minutes.items()]
    if len(told) < 2:
        return "".join(told) or "no more work"
    return f"{', '.join(told[:-1])} and {told[-1]}"


def _settling(found: Alone, problem: Problem, *, clock: Clock) -> Iterator[Say]:
    """Until when its film would settle: that is elapsed time, and no work."""
    at = {step.key: step for step in found.steps}
    for link in problem.links:
        if link.start_by_end and {link.before, link.after} <= at.keys():
            settled = look_up(link.start_by_end, at[link.before].end)
            until = clock.start_of(settled)
            yield say("Its film would settle until {until}.", until=until)


def tight_says(car: CarPlanned) -> Say:
    """That it is in time only if its work does not take long."""
    return say(
        "It is ready {ready} by the plan; if its work takes long, {latest}.",
        ready=car.ready_at,
        latest=car.latest_at,
    )


def clash_says(found: Clash) -> tuple[Say, ...]:
    """Which cars stand in each other's way; nothing where that is not known."""
    count, cars = len(found.jobs), ", ".join(found.jobs)
    if found.is_undecided or not count:
        return ()
    if count == 1:
        text = "{cars} cannot be ready in time beside what has begun or is fixed."
        return (say(text, cars=cars),)
    if not found.is_minimal:
        return (say("{cars} cannot all be ready in time.", cars=cars),)
    if count == 2:
        text = "{cars} cannot both be ready in time; either of them can."
        return (say(text, cars=cars),)
    text = "{cars} cannot all be ready in time; any {some} of them can."
    some = COUNTS[count - 1] if count <= len(COUNTS) else str(count - 1)
    return (say(text, cars=cars, some=some),)


def bottleneck_says(
    found: Bottleneck, *, clock: Clock, words: Mapping[Group, str] | None = None
) -> Say:
    """How much is needed of a group and how much there is.

    Whole hours are rounded up for what is needed, down for what is there.

    words  what the shop calls a group; without a word its members are told
    """
    group = tuple(sorted(found.resources))
    need, have = found.need * clock.tick_min, found.have * clock.tick_min
    return say(
        "{since} to {until}, {group}: {need} needed, {have} there.",
        since=clock.start_of(found.start),
        until=clock.end_of(found.end),
        group=(words or {}).get(group, ", ".join(group)),
        need=hours_text(need if need < EXACT_UNDER_MIN else -(-need // 60) * 60),
        have=hours_text(have if have < EXACT_UNDER_MIN else have // 60 * 60),
    )


def clashes_say(
    clash: Clash | None,
    bottlenecks: Iterable[Bottleneck],
    *,
    clock: Clock,
    words: Mapping[Group, str] | None = None,
) -> tuple[Say, ...]:
    """The set that cannot hold, and where it is short; or that the order blocks."""
    if clash is None:
        return ()
    told = clash_says(clash)
    short = tuple(
        bottleneck_says(each, clock=clock, words=words) for each in bottlenecks
    )
    if told and not short and len(clash.jobs) > 1:
        text = (
            "There would be hours enough for {cars}; the order of their work stands "
            "in the way."
        )
        short = (say(text, cars=", ".join(clash.jobs)),)
    return told + short


def chain_says(links: Iterable[ChainLink], *, clock: Clock) -> tuple[Say, ...]:
    """What a car waits for, the last wait first; stages in a row are not told.

    That film settles, which it always does, comes after all else.
    Its own waits say "it"; those of a car that it waits for name that car.
    """
    links = tuple(links)
    settling_last = sorted(links, key=lambda link: link.wait is Wait.SETTLING)
    told = [
        sentence
        for link in settling_last
        if (sentence := _link_says(link, own=link.job == links[0].job, clock=clock))
    ]
    return tuple(dict.fromkeys(told))


def _link_says(link: ChainLink, *, own: bool, clock: Clock) -> Say | None:
    who = "It" if own else link.job
    part = part_of(link.activity)
    match link.wait:
        case Wait.TAKEN:
            return _taken_says(link, who=who, clock=clock)
        case Wait.AWAY:
            return say(
                "{car} waits for {spot}, who is away until {until}."
                if _is_person(link.resource)
                else "{car} waits for {spot}, which is closed until {until}.",
                car=who,
                spot=link.resource,
                until=clock.start_of(link.until),
            )
        case Wait.SETTLING:
            text = "{car} settles until {until}."
            return say(text, car=who, until=clock.start_of(link.until))
        case Wait.ARRIVAL:
            text = "{car} comes {until}."
            return say(text, car=who, until=clock.start_of(link.until))
        case Wait.OPENING if part:
            text = "{car} waits for {until}, when the {part} can begin."
        case Wait.PIN if part and link.until > 0:
            text = "{car} waits for {until}, for which the {part} is fixed."
        case _:
            return None
    return say(text, car=who, until=clock.start_of(link.until), part=part.value)


def _taken_says(link: ChainLink, *, who: str, clock: Clock) -> Say:
    """Whom or what it waits for, and which car has it."""
    until = clock.end_of(link.until)
    if link.of == link.job:
        text = "{car} waits for {spot} until {until}, with other work on it."
        return say(text, car=who, spot=link.resource, until=until)
    held = part_of(link.behind) in (Part.STAY, Part.PARKED)
    if held:
        text = "{car} waits for {spot} until {until}, where {other} stands."
    elif _is_person(link.resource):
        text = "{car} waits for {spot} until {until}, at work on {other}."
    else:
        text = "{car} waits for {spot} until {until}, taken by {other}."
    return say(text, car=who, spot=link.resource, until=until, other=link.of)


def _is_person(key: str) -> bool:
    return key.startswith("person-")


def part_of(key: str) -> Part | None:
    """The part of the work that a key of a step names: "booking-4/install/0"."""
    _, *rest = key.split("/")
    return PARTS.get(rest[0]) if rest else None


def hours_text(minutes: int) -> str:
    """A time of work: "45 min", "2 h 30 min", "13 h".

    >>> hours_text(45), hours_text(150), hours_text(792)
    ('45 min', '2 h 30 min', '13 h')
    """
    if minutes >= EXACT_UNDER_MIN:
        return f"{(minutes + 30) // 60} h"
    hours, rest = divmod(minutes, 60)
    told = [f"{hours} h"] if hours else []
    told += [f"{rest} min"] if rest or not hours else []
    return " ".join(told)
