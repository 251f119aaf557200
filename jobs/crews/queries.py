"""Who is here when."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date, datetime

from django.db.models import QuerySet
from django.utils import timezone

from jobs.crews.away import Away, DaysOff, away
from jobs.models import Absence, Shift
from jobs.opening.hours import Hours
from shopapp.models import Person, Shop, the_shop


def away_between(
    people: Iterable[Person], first: date, last: date, *, shop: Shop | None = None
) -> dict[int, Away]:
    """For each person's key the intervals of these days in which they are not here.

    Two queries, however many people.
    """
    pks = [person.pk for person in people]
    shifts: dict[int, dict[int, Hours | None]] = {pk: {} for pk in pks}
    days_off: dict[int, list[DaysOff]] = {pk: [] for pk in pks}
    for shift in Shift.objects.filter(person__in=pks):
        if shift.is_off or (shift.starts_at and shift.ends_at):
            shifts[shift.person_id][shift.weekday] = hours_of_shift(shift)
    for row in absences(first, last).filter(person__in=pks):
        days_off[row.person_id].append(days_of(row))
    zone = (shop or the_shop()).zone
    return {
        pk: away(
            shifts=shifts[pk], days_off=days_off[pk], first=first, last=last, zone=zone
        )
        for pk in pks
    }


def hours_of_shift(shift: Shift) -> Hours | None:
    """The hours of a weekday of one's own; None where it is not worked."""
    if shift.is_off or shift.starts_at is None or shift.ends_at is None:
        return None
    return Hours(opens_at=shift.starts_at, closes_at=shift.ends_at)


def days_of(row: Absence) -> DaysOff:
    """An absence as plain days."""
    return DaysOff(first_day=row.first_day, last_day=row.last_day, half=row.half)


def absences(first: date, last: date) -> QuerySet[Absence]:
    """Absences in force that touch these days, the next one first."""
    return Absence.objects.filter(
        taken_back_at=None, last_day__gte=first, first_day__lte=last
    )


def away_on(day: date) -> list[Absence]:
    """Who is away on a day."""
    return list(absences(day, day).select_related("person"))


def local_day(moment: datetime) -> date:
    """The shop's day at this moment."""
    return timezone.localtime(moment, the_shop().zone).date()
