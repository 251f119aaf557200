"""The settings of the bench: each change is a new row, with who and when."""

from __future__ import annotations

from typing import Any

from mixing import limits
from mixing.models import BenchSettings, Dispenser
from mixing.sheet.bench_settings import why_no_patch, why_not_with
from mixing.sheet.input_queries import (
    SET_WITH,
    dispenser_for_sheet,
    newest_bench_settings,
    patch_of,
)
from shopapp.frame import Act, Json, Refused, action
from shopapp.say import say

PATCH = ("patch_min", "patch_panel_c", "patch_air_c", "patch_rh_pct")


@action("bench.change", within=limits.PATCH)
def change_bench(act: Act, /, **fields: Any) -> Json:
    """Set how water is filled, what is read from what, and the shop's own patch."""
    _refuse_dispensers(fields)
    _refuse_patch(fields)
    before = newest_bench_settings()
    changed = {
        name: [_told(getattr(before, name)) if before else None, _told(value)]
        for name, value in fields.items()
        if before is None or getattr(before, name) != value
    }
    if not changed:
        raise Refused(say("Nothing was changed."))
    row = BenchSettings.objects.create(**fields, made_by=act.tap.by, made_at=act.now)
    return {"pk": row.pk, "changed": changed}


def _told(value: object) -> object:
    return value.name if isinstance(value, Dispenser) else value


def _refuse_dispensers(fields: dict[str, Any]) -> None:
    for name, substance in SET_WITH.items():
        chosen = fields[name]
        if chosen is None:
            continue
        if reason := why_not_with(substance, dispenser_for_sheet(chosen)):
            raise Refused(reason, field=name)


def _refuse_patch(fields: dict[str, Any]) -> None:
    given = [name for name in PATCH if fields[name] is not None]
    if given and len(given) < len(PATCH):
        absent = next(name for name in PATCH if fields[name] is None)
        raise Refused(
            say("A test patch needs its minutes and its reading."), field=absent
        )
    patch = patch_of(BenchSettings(**{name: fields[name] for name in PATCH}))
    if patch is not None and (reason := why_no_patch(patch)):
        raise Refused(reason, field="patch_panel_c")
