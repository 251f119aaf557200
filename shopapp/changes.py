"""What managers changed, told from the presses themselves."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.core.exceptions import FieldDoesNotExist
from django.db import models
from django.utils.translation import gettext as _

from shopapp.models import Bay, Person, Place, Shop, Submission
from shopapp.telling import show
from shopapp.units import System

SETTINGS: dict[str, tuple[str, type[models.Model] | None]] = {
    "shop.change": ("Shop", Shop),
    "bay.change": ("Bay", Bay),
    "place.change": ("Place", Place),
    "person.change": ("Person", Person),
    "person.renew": ("New password or PIN", Person),
    "rule.change": ("Rules", None),
    "rule.enforce": ("Rules", None),
    "acceptance.change": ("Acceptance standard", None),
    "checklist.change": ("Checklist", None),
    "price.change": ("Price list", None),
    "chemical.change": ("Chemical", None),
    "spot.change": ("Storage spot", None),
    "recipe.change": ("Recipe", None),
    "film.change": ("Film", None),
}
"""Actions that change settings: what each is about, and whose row it names."""
UNITS_BY_ENDING = ("m3_per_h", "ppm", "ml", "c", "l", "m")
UNIT_OF = {"c": "degc"}


@dataclass(frozen=True, kw_only=True)
class Change:
    """One press: who, when, what, and each value before and after."""

    at: datetime
    by: Person | None
    what: str
    details: tuple[tuple[str, str, str], ...]


def changes(*, system: System, most: int) -> list[Change]:
    """The newest changes of settings first."""
    rows = list(
        Submission.objects.filter(action__in=SETTINGS)
        .select_related("by")
        .order_by("-received_at", "-pk")[:most]
    )
    names = _names(rows)
    return [_change(row, names, system) for row in rows]


def _names(rows: list[Submission]) -> dict[tuple[str, int], str]:
    """Names of the rows that are told of, a query for each kind."""
    found: dict[tuple[str, int], str] = {}
    for action, (_what, model) in SETTINGS.items():
        keys = {row.answer.get("pk") for row in rows if row.action == action}
        if model is not None and keys:
            for each in model._default_manager.filter(pk__in=keys):
                found[action, each.pk] = str(each)
    return found


def _change(
    row: Submission, names: dict[tuple[str, int], str], system: System
) -> Change:
    what, model = SETTINGS[row.action]
    name = names.get((row.action, row.answer.get("pk", 0)), row.answer.get("name", ""))
    told = row.answer.get("changed", {})
    return Change(
        at=row.received_at,
        by=row.by,
        what=f"{_(what)}: {name}" if name else _(what),
        details=tuple(
            (_label(field, model), *_before_after(field, values, system))
            for field, values in told.items()
        ),
    )


def _label(field: str, model: type[models.Model] | None) -> str:
    if model is None:
        return field.replace("_", " ")
    try:
        return str(getattr(model._meta.get_field(field), "verbose_name", field))
    except FieldDoesNotExist:
        return field


def _before_after(field: str, values: list[Any], system: System) -> tuple[str, str]:
    if len(values) != 2:
        return "", ""
    return _shown(field, values[0], system), _shown(field, values[1], system)


def _shown(field: str, value: Any, system: System) -> str:
    if isinstance(value, bool):
        return _("yes") if value else _("no")
    if isinstance(value, int | float):
        ending = next((e for e in UNITS_BY_ENDING if field.endswith(f"_{e}")), "")
        if ending:
            unit = UNIT_OF.get(ending, ending)
            return str(show(value, unit=unit, system=system))
    return "–" if value in (None, "") else str(value)
