"""What this shop mixes, how long it keeps, how warm a panel may be."""

from __future__ import annotations

from collections.abc import Collection

from mixing.laying.queries import newest_laying_settings
from mixing.limits import LAYING
from mixing.models import Kind, LayingSettings, Recipe
from mixing.sheet.queries import kinds_mixed
from shopapp.frame import Act, Json, Refused, action
from shopapp.say import say


@action("laying.change", within=LAYING)
def change_laying(
    act: Act,
    /,
    *,
    kinds: Collection[str],
    cold_c: float,
    hot_c: float,
    too_hot_c: float,
    **days: int,
) -> Json:
    """Set it for sheets, bottles and readings from now on.

    kinds  the solutions that this shop mixes
    days   `slip_days` and so on: 0 is the day of mixing alone
    """
    if not kinds:
        raise Refused(say("Tick at least one solution."), field="kinds")
    if not cold_c < hot_c <= too_hot_c:
        raise Refused(
            say("Each limit lies above the one before it: cold, hot, too hot."),
            field="hot_c",
        )
    wanted = {"cold_c": cold_c, "hot_c": hot_c, "too_hot_c": too_hot_c, **days}
    before = newest_laying_settings()
    changed: dict[str, object] = {
        name: [getattr(before, name) if before else None, value]
        for name, value in wanted.items()
        if before is None or getattr(before, name) != value
    }
    if changed:
        LayingSettings.objects.create(**wanted, made_by=act.by, made_at=act.now)
    if kept := _mix(kinds):
        changed["mixes"] = kept
    if not changed:
        raise Refused(say("Nothing was changed."))
    return {"changed": changed}


def _mix(kinds: Collection[str]) -> list[str]:
    """Put recipes in and out of use; what was mixed before and after, or nothing."""
    before, wanted = set(kinds_mixed()), set(kinds)
    if before == wanted:
        return []
    Recipe.objects.exclude(kind__in=wanted).update(in_use=False)
    Recipe.objects.filter(kind__in=wanted).update(in_use=True)
    return [_named(before), _named(wanted)]


def _named(kinds: Collection[str]) -> str:
    return ", ".join(str(Kind(kind).label) for kind in Kind.values if kind in kinds)
