"""Somebody is away, or is not after all; the hours of one person."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from typing import Any

from jobs.crews.away import DaysOff
from jobs.crews.queries import absences, days_of, local_day
from jobs.models import Absence, Shift
from jobs.plan.fixed_day import LONGEST
from jobs.plan.forecast_actions import ask_to_carry_on
from shopapp.frame import Act, Json, Refused, action
from shopapp.models import Person
from shopapp.say import say


@action("absence.add")
def add_absence(
    act: Act,
    *,
    person_pk: int,
    first_day: date | None = None,
    last_day: date | None = None,
    half: str = Absence.Half.WHOLE,
    because: str = Absence.Because.OFF,
) -> Json:
    """Keep that a person is away; without a day it is today."""
    person = act.lock(Person, person_pk)
    today = local_day(act.now)
    first_day = first_day or today
    wanted = DaysOff(first_day=first_day, last_day=last_day or first_day, half=half)
    _refuse_odd(wanted, today=today)
    _make_room(act, person, wanted)
    row = Absence.objects.create(
        person=person,
        first_day=wanted.first_day,
        last_day=wanted.last_day,
        half=half,
        because=because,
        said_by=act.tap.by,
        said_at=act.now,
    )
    ask_to_carry_on(act)
    return {"pk": row.pk}


def _refuse_odd(wanted: DaysOff, *, today: date) -> None:
    if wanted.last_day < wanted.first_day:
        raise Refused(say("It ends before it begins."), field="last_day")
    if wanted.last_day < today:
        raise Refused(say("These days have passed."), field="last_day")
    if max(wanted.last_day - wanted.first_day, wanted.first_day - today) > LONGEST:
        raise Refused(
            say("That is more than a year. Look at the year."), field="last_day"
        )


def _make_room(act: Act, person: Person, wanted: DaysOff) -> None:
    """What is known already is said; what the new days cover gives way to them."""
    known = absences(wanted.first_day, wanted.last_day).filter(person=person)
    for row in known:
        known_days = days_of(row)
        if not wanted.meets(known_days):
            continue
        if known_days.covers(wanted) or not wanted.covers(known_days):
            raise Refused(
                say(
                    "{person} is away from {first} to {last} already.",
                    person=str(person),
                    first=row.first_day,
                    last=row.last_day,
                ),
                field="first_day",
            )
        row.taken_back_at = act.now
        row.save(update_fields=["taken_back_at"])


@action("absence.take_back")
def take_back_absence(act: Act, *, absence_pk: int) -> Json:
    """The person is here after all."""
    row = act.lock(Absence, absence_pk)
    if row.taken_back_at is not None:
        raise Refused(say("This was taken back already."))
    row.taken_back_at = act.now
    row.save(update_fields=["taken_back_at"])
    ask_to_carry_on(act)
    return {"pk": row.pk}


@action("shift.change")
def change_shifts(
    act: Act, *, person_pk: int, week: Sequence[Mapping[str, Any]]
) -> Json:
    """Keep a person's week: whether each weekday from Monday is worked, and when."""
    person = act.lock(Person, person_pk)
    if not any(day["works"] for day in week):
        raise Refused(
            say("Somebody who never works has left: say so at the person."),
            field="works_0",
        )
    changed: Json = {}
    for weekday, typed in enumerate(week):
        row = Shift.objects.filter(person=person, weekday=weekday).first() or Shift(
            person=person, weekday=weekday
        )
        before = _told(row)
        row.is_off = not typed["works"]
        row.starts_at = typed["starts_at"] if typed["works"] else None
        row.ends_at = typed["ends_at"] if typed["works"] else None
        if _told(row) != before:
            changed[str(row.get_weekday_display())] = [before, _told(row)]
            row.save()
    ask_to_carry_on(act)
    return {"pk": person.pk, "changed": changed}


def _told(row: Shift) -> str:
    if row.is_off:
        return "does not work"
    if row.starts_at is None or row.ends_at is None:
        return "the shop's hours"
    return f"{row.starts_at:%H:%M} to {row.ends_at:%H:%M}"
