"""What was fixed of a car's film work before it comes: day, half, people."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date
from typing import Any

from jobs.models import Booking, CarWish
from shopapp.models import Person


def write_wish(
    booking: Booking,
    *,
    day: date | None,
    half: str,
    people: Iterable[Person],
    weight: int | None = None,
) -> None:
    """Keep what was fixed; where nothing ever was, no row is made.

    weight  None: as it stands
    """
    wanted = list(people)
    known = CarWish.objects.filter(booking=booking).first()
    if known is None and not (day or wanted or weight):
        return
    wish = known or CarWish(booking=booking)
    wish.day, wish.half = day, half if day else CarWish.Half.ANY
    wish.weight = weight or wish.weight
    wish.save()
    wish.people.set(wanted)


def told_wish(booking: Booking) -> dict[str, Any]:
    """What a history says of it: people by their keys."""
    wish = CarWish.objects.filter(booking=booking).first()
    return {
        "film_day": wish.day if wish else None,
        "film_half": wish.half if wish else "",
        "people": sorted(person.pk for person in wish.people.all()) if wish else [],
    }
