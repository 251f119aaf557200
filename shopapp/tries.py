"""Tries at a password or a PIN: counted before they are checked.

Each try falls under two counters, its person's and its place's, and takes one from
both or is not tried at all: however many come at once, no more get through. What was
right is given back. PINs and passwords are counted apart.

A password that is tried where its person has signed in before has a counter of its
own there, so that a stranger's tries elsewhere keep nobody out.
"""

from __future__ import annotations

import hashlib
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime, timedelta

from django.conf import settings
from django.db import transaction
from django.db.models import F
from django.http import HttpRequest
from django.utils import timezone

from shopapp.models import Device, FailedSignIn, Person, SignIn, TryCount

WINDOW = timedelta(minutes=10)
PEOPLE_OF_A_PLACE = 3
"""A place bears the tries of so many people: one alone does not shut it."""
MOST_IN_A_ROW = 100
"""Wrong PINs without a right one (NIST SP 800-63B, 5.2.2); then the PIN is closed."""
FAILURES_STAY = timedelta(days=180)
COOKIE = "device"
Kind = FailedSignIn.Kind


@dataclass(frozen=True)
class Counter:
    """What a try is counted by; always a person's before a place's, as locks go.

    closes   whether too many wrong ones in a row shut it
    """

    key: str
    most: int
    closes: bool = False


class TooManyTriesError(Exception):
    """This one is not tried: its person or its place has had too many."""


class ClosedPinError(TooManyTriesError):
    """Too many wrong ones in a row: only the password helps."""


def tried(
    request: HttpRequest,
    *,
    kind: Kind,
    name: str,
    person: Person | None,
    right: Callable[[], bool],
) -> bool:
    """Whether it was right; counts it first, and keeps a wrong one for the manager.

    Raises TooManyTriesError where it is one too many: then nothing was tried.
    """
    device = known_device(request)
    counters = _counters(request, kind=kind, name=name, person=person, device=device)
    _take(counters)
    was_wrong = False
    try:
        was_wrong = not right()
    finally:
        if not was_wrong:
            # Not tried at all, where too many were being checked at that moment.
            _give_back(counters)
    if was_wrong:
        FailedSignIn.objects.create(
            kind=kind, person=person, device=device, address=address_of(request)
        )
    else:
        open_pin(person)
    return not was_wrong


def open_pin(person: Person | None) -> None:
    """A right password or PIN, or a new PIN: wrong ones in a row begin anew."""
    if person is not None:
        key = _key(Kind.PIN, _who(person, ""))
        TryCount.objects.filter(key=key).update(in_a_row=0)


def forget_old_tries() -> None:
    """Counters whose window is long over, but not of PINs that are being guessed at;
    wrong tries of half a year ago."""
    now = timezone.now()
    FailedSignIn.objects.filter(at__lt=now - FAILURES_STAY).delete()
    old = now - 6 * WINDOW
    with transaction.atomic():
        rows = TryCount.objects.filter(since__lt=old, in_a_row=0)
        free = rows.select_for_update(skip_locked=True).values_list("pk", flat=True)
        TryCount.objects.filter(pk__in=list(free[:1000])).delete()


def known_device(request: HttpRequest) -> Device | None:
    """The browser that sends this, if anybody has signed in on it."""
    known = request.COOKIES.get(COOKIE, "")
    return Device.objects.filter(key_hash=key_hash(known)).first() if known else None


def key_hash(text: str) -> str:
    """SHA-256, which is what is kept of a device's key."""
    return hashlib.sha256(text.encode()).hexdigest()


def address_of(request: HttpRequest) -> str:
    """Where it came from."""
    return str(request.META.get("REMOTE_ADDR", ""))[:45]


def _counters(
    request: HttpRequest,
    *,
    kind: Kind,
    name: str,
    person: Person | None,
    device: Device | None,
) -> list[Counter]:
    place = f"device {device.pk}" if device else f"address {address_of(request)}"
    is_pin, near = kind == Kind.PIN, ""
    if not is_pin:
        signed_in = SignIn.objects.filter(device=device, person=person)
        near = place if device and person and signed_in.exists() else "elsewhere"
    most = settings.SIGN_IN_TRIES
    return [
        Counter(_key(kind, _who(person, name), near), most=most, closes=is_pin),
        Counter(_key(kind, "at", place), most=most * PEOPLE_OF_A_PLACE),
    ]


def _take(counters: list[Counter]) -> None:
    """One from each, or nothing; rivals for a counter wait here for their turn."""
    now = timezone.now()
    with transaction.atomic():
        fresh = [TryCount(key=each.key, since=now) for each in counters]
        TryCount.objects.bulk_create(fresh, ignore_conflicts=True)
        for counter in counters:
            _take_from(counter, now=now)


def _take_from(counter: Counter, *, now: datetime) -> None:
    row = TryCount.objects.select_for_update().get(key=counter.key)
    if row.since < now - WINDOW:
        row.number, row.since = 0, now
    if counter.closes and row.in_a_row >= MOST_IN_A_ROW:
        raise ClosedPinError
    if row.number >= counter.most:
        raise TooManyTriesError
    row.number += 1
    row.in_a_row += counter.closes
    row.save()


def _give_back(counters: list[Counter]) -> None:
    for counter in counters:
        kept = TryCount.objects.filter(key=counter.key, number__gt=0)
        kept.update(number=F("number") - 1)


def _who(person: Person | None, name: str) -> str:
    return f"person {person.pk}" if person else f"name {name.strip().casefold()}"


def _key(*parts: str) -> str:
    return key_hash(" ".join(part for part in parts if part))
