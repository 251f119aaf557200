"""Mails of the demo shop: two that went, and one that its server did not take."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from typing import Any

from jobs.demo.steps import Cast
from jobs.mail.actions import begin_mail, end_mail, send_mail
from jobs.mail.delivery_tasks import deliver
from jobs.mail.kinds import Kind
from jobs.models import Booking, Mail
from shopapp.frame import Answer, Tap, perform
from shopapp.models import HistoryEntry, Person

NO_BOX = "550 5.1.1 no such mailbox here"


def write_some(*, cast: Cast, at: datetime) -> None:
    """The next two bookings are written about, and a third one in vain."""
    booked = Booking.objects.filter(state=Booking.State.BOOKED)
    rows = list(booked.exclude(customer__email="").order_by("arrives_at", "pk")[:3])
    for row in rows:
        answer = _press(
            cast.desk,
            at,
            send_mail,
            f"send-{row.pk}",
            kind=Kind.BOOKED.value,
            booking_pk=row.pk,
        )
        if row is rows[-1]:
            _press(None, at, begin_mail, f"begin-{row.pk}", mail_pk=answer["pk"])
            facts = {"state": Mail.State.REFUSED.value, "said": NO_BOX}
            _press(None, at, end_mail, f"end-{row.pk}", mail_pk=answer["pk"], **facts)
        else:
            deliver(answer["pk"])


def _press(
    who: Person | None, at: datetime, do: Callable[..., Any], key: str, /, **facts: Any
) -> Answer:
    via = HistoryEntry.Via.DEMO
    return perform(
        Tap.made_by(who, at=at, via=via, key=f"demo-mail-{key}"), do, **facts
    )
