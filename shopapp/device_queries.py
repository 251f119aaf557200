"""Devices, who is signed in on them, and what went wrong there."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta

from django.conf import settings
from django.db.models import Max, QuerySet

from shopapp.models import Device, FailedSignIn, Person, SignIn
from shopapp.sessions import is_over

LATELY = timedelta(days=1)
IS_NEW = timedelta(days=30)
MOST_SHOWN = 100


def devices_enrolled() -> QuerySet[Device]:
    """On which a PIN works, with their last use."""
    rows = Device.objects.exclude(pin_opens="").select_related("enrolled_by")
    return rows.annotate(last_use=Max("signin__seen_at")).order_by("name", "pk")


def devices_new(*, now: datetime) -> Sequence[Device]:
    """First seen in the last month and not enrolled, each with who came on it first."""
    rows = Device.objects.filter(pin_opens="", first_seen_at__gt=now - IS_NEW)
    found = list(
        rows.annotate(last_use=Max("signin__seen_at")).order_by("-first_seen_at")[
            :MOST_SHOWN
        ]
    )
    sign_ins = SignIn.objects.filter(device__in=found).select_related("person")
    first = {row.device_id: row.person for row in sign_ins.order_by("-pk")}
    for device in found:
        device.first_person = first.get(device.pk)  # type: ignore[attr-defined]
    return found


def lasting_sign_ins(
    *, now: datetime, person: Person | None = None, device: Device | None = None
) -> Sequence[SignIn]:
    """Who is signed in, and where; the last used first."""
    rows = SignIn.objects.filter(ended_at=None).select_related("person", "device")
    if person is not None:
        rows = rows.filter(person=person)
    if device is not None:
        rows = rows.filter(device=device)
    return [row for row in rows.order_by("-seen_at") if not is_over(row, now=now)]


def failures(*, device: Device | None = None) -> QuerySet[FailedSignIn]:
    """Wrong passwords and PINs, the newest first."""
    rows = FailedSignIn.objects.select_related("person", "device")
    if device is not None:
        rows = rows.filter(device=device)
    return rows.order_by("-at", "-pk")[:MOST_SHOWN]


def said_lately(*, now: datetime) -> dict[str, int | bool]:
    """Wrong tries and new devices since yesterday; whether somebody is guessing."""
    since = now - LATELY
    wrong = FailedSignIn.objects.filter(at__gt=since).count()
    return {
        "wrong": wrong,
        "new": Device.objects.filter(first_seen_at__gt=since, pin_opens="").count(),
        "is_much": wrong >= settings.SIGN_IN_TRIES,
    }
