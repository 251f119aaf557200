"""How long a sign-in lasts, and what it opens while it does.

What a PIN opens depends on the device: on a bay's tablet the installer's work, on the
desk's PC the desk's too, and never a manager's. A password opens everything that its
person may do: on an enrolled device for a while, on another one until it is left idle.
"""

from __future__ import annotations

from datetime import datetime, timedelta

from django.db import transaction
from django.db.models import F
from django.utils import timezone

from shopapp.models import (
    Device,
    Holiday,
    OpenDay,
    Person,
    Revision,
    Role,
    SignIn,
    shop_date,
    the_shop,
)

Work = Device.Work
OPENED_BY_PIN: dict[str, frozenset[Role]] = {
    Work.BAY: frozenset({Role.INSTALLER}),
    Work.DESK: frozenset({Role.INSTALLER, Role.DESK}),
}
PASSWORD_LASTS: dict[str, timedelta] = {
    Work.BAY: timedelta(minutes=15),
    Work.DESK: timedelta(hours=1),
}
"""On a device that many use; then it opens again what a PIN does."""
IDLE = timedelta(hours=2)
"""On a device that is not enrolled."""
IDLE_WHEN_CLOSED = timedelta(minutes=30)
"""On an enrolled one outside the opening hours; in them it stays."""
SEEN_EVERY = timedelta(minutes=2)
"""The last use is kept as exactly as this."""


def opens(sign_in: SignIn, *, now: datetime) -> frozenset[Role] | None:
    """The roles whose work it opens; None: all that the person may do."""
    work = sign_in.device.pin_opens if sign_in.device else ""
    if not work or is_fresh(sign_in, within=PASSWORD_LASTS[work], now=now):
        return None
    return OPENED_BY_PIN[work]


def is_fresh(sign_in: SignIn, *, within: timedelta, now: datetime) -> bool:
    """Whether the password was typed so lately."""
    at = sign_in.password_at
    # A clock that was put back makes no password of an hour ago a new one.
    return at is not None and abs(now - at) < within


def is_over(sign_in: SignIn, *, now: datetime) -> bool:
    """Ended, left idle, or by PIN on a device that is not enrolled any more."""
    work = sign_in.device.pin_opens if sign_in.device else ""
    if sign_in.ended_at or not (work or sign_in.password_at):
        return True
    idle = now - sign_in.seen_at
    if not work:
        return idle > IDLE
    return idle > IDLE_WHEN_CLOSED and not _is_open_since(sign_in.seen_at, now)


def _is_open_since(seen_at: datetime, now: datetime) -> bool:
    """Whether both moments lie in the opening hours of one day."""
    day = shop_date(now)
    row = OpenDay.objects.filter(weekday=day.weekday()).first()
    is_closed = row is not None and not row.is_open
    if shop_date(seen_at) != day or is_closed:
        return False
    if Holiday.objects.filter(day=day, taken_off_at=None).exists():
        return False
    shop = the_shop()
    closes = row.closes_at if row and row.closes_at else shop.closes_at
    begins = row.opens_at if row and row.opens_at else shop.opens_at
    return begins <= timezone.localtime(now, shop.zone).time() < closes


def end_all(person: Person, *, but: int = 0, now: datetime) -> int:
    """End the sign-ins of a person, but for one; how many there were."""
    rows = SignIn.objects.filter(person=person, ended_at=None)
    return rows.exclude(pk=but).update(ended_at=now)


def end_the_idle(*, now: datetime) -> int:
    """End what is over, so that its open pages are shut too; how many there were."""
    lasting = SignIn.objects.filter(ended_at=None).select_related("device")
    over = [row.pk for row in lasting if is_over(row, now=now)]
    with transaction.atomic():
        ended = SignIn.objects.filter(pk__in=over).update(ended_at=now)
        if ended:
            Revision.objects.filter(pk=1).update(number=F("number") + 1)
    return ended
