"""The small fixed cast, and one maker for each model. Nothing here is random."""

from __future__ import annotations

from datetime import UTC, datetime

from shopapp.frame import Tap
from shopapp.models import Bay, HistoryEntry, Person, Place

NOW = datetime(2031, 5, 6, 15, 0, tzinfo=UTC)
"""A Tuesday morning in the demo shop's zone."""
PASSWORD = "a long enough password"


def no_bell(kind: str, pk: int) -> None:
    """Stands in for the bell where a test does not ring it."""


def make_person(*roles: str, username: str = "pat", pin: str = "", **fields) -> Person:
    """A person with these roles; an installer preps, lays film and inspects."""
    held = {f"is_{role}": True for role in roles}
    skills = dict.fromkeys(
        ["can_prep", "can_install", "can_inspect"], "installer" in roles
    )
    person = Person(
        username=username, first_name=username.title(), **{**held, **skills, **fields}
    )
    person.set_password(PASSWORD)
    if pin:
        person.set_pin(pin)
    person.save()
    return person


def make_bay(name: str = "Bay 1", **fields) -> Bay:
    """A bay of 6 by 4 by 3 m whose exhaust was measured at 2000 m3/h."""
    measured = {"length_m": 6.0, "width_m": 4.0, "height_m": 3.0}
    measured |= {"exhaust_m3_per_h": 2000.0, "mixing_factor": 3.0}
    known = {**measured, "mixing_factor_basis": Bay.FactorBasis.K, **fields}
    return Bay.objects.create(name=name, **known)


def make_place(name: str = "Yard", **fields) -> Place:
    """Somewhere a car stands."""
    return Place.objects.create(name=name, **{"room_for": 6, **fields})


def make_tap(by: Person | None, *, key: str = "", at: datetime = NOW) -> Tap:
    """A press of a button by `by`."""
    return Tap.made_by(by, at=at, via=HistoryEntry.Via.PAGE, key=key)
