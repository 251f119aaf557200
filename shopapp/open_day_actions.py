"""A manager says on which days and hours the shop is open."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from typing import Any

from shopapp.frame import Act, Json, Refused, action
from shopapp.models import Holiday, OpenDay, Shop
from shopapp.say import say

NAMES = ("is_open", "opens_at", "closes_at")


@action("openday.change")
def change_open_days(act: Act, *, week: Sequence[Mapping[str, Any]]) -> Json:
    """Keep the week: for each weekday from Monday, open or closed, and its hours."""
    act.lock(Shop, 1)
    if not any(day["is_open"] for day in week):
        raise Refused(say("The shop is open on one day at least."), field="is_open_0")
    changed: Json = {}
    for weekday, typed in enumerate(week):
        row = OpenDay.objects.filter(weekday=weekday).first() or OpenDay(
            weekday=weekday
        )
        before = _told(row) if row.pk else ""
        for name in NAMES:
            setattr(row, name, typed[name])
        row.save()
        if before != _told(row):
            changed[str(row)] = [before, _told(row)]
    return {"changed": changed}


def _told(row: OpenDay) -> str:
    if not row.is_open:
        return "closed"
    if row.opens_at is None or row.closes_at is None:
        return "open, usual hours"
    return f"open {row.opens_at:%H:%M} to {row.closes_at:%H:%M}"


@action("holiday.add")
def add_holiday(act: Act, *, day: date, name: str = "") -> Json:
    """Close the shop on a day."""
    act.lock(Shop, 1)
    if Holiday.objects.filter(day=day, taken_off_at=None).exists():
        raise Refused(say("This day is on the list already."), field="day")
    row = Holiday.objects.create(day=day, name=name.strip())
    return {"pk": row.pk, "name": f"{day:%Y-%m-%d} {row.name}".strip()}


@action("holiday.remove")
def remove_holiday(act: Act, *, holiday_pk: int) -> Json:
    """Open the shop on this day after all."""
    act.lock(Shop, 1)
    row = Holiday.objects.filter(pk=holiday_pk, taken_off_at=None).first()
    if row is None:
        raise Refused(say("This holiday is not there any more."))
    row.taken_off_at = act.now
    row.save(update_fields=["taken_off_at"])
    return {"name": f"{row.day:%Y-%m-%d} {row.name}".strip()}
