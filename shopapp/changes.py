"""What managers changed, told from the presses themselves."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.apps import apps
from django.core.exceptions import FieldDoesNotExist
from django.db import models
from django.utils.translation import gettext as _

from shopapp.models import Person, Submission
from shopapp.telling import show
from shopapp.units import System

SETTINGS: dict[str, tuple[str, str]] = {
    "shop.change": ("Shop", "shopapp.Shop"),
    "openday.change": ("Open days", ""),
    "holiday.add": ("Holiday", ""),
    "holiday.remove": ("Holiday taken off", ""),
    "backup.change": ("Backups", ""),
    "bay.change": ("Bay", "shopapp.Bay"),
    "air.change": ("Wipe and height", ""),
    "place.change": ("Place", "shopapp.Place"),
    "person.change": ("Person", "shopapp.Person"),
    "person.renew": ("New password or PIN", "shopapp.Person"),
    "device.enrol": ("Device", "shopapp.Device"),
    "device.revoke": ("Device taken off", "shopapp.Device"),
    "signin.stop": ("Sign-in ended", ""),
    "shift.change": ("Hours", "shopapp.Person"),
    "rule.change": ("Rules", ""),
    "rule.enforce": ("Rules", ""),
    "acceptance.change": ("Acceptance standard", ""),
    "laying.change": ("Laying and bottles", ""),
    "checklist.change": ("Checklist", ""),
    "cure.change": ("Settling and care", "jobs.CureTable"),
    "packagehours.change": ("Hours of a package", "jobs.PackageHours"),
    "planrule.change": ("Plan", "jobs.PlanRule"),
    "mail.change": ("Mails and texts", "jobs.MailRule"),
    "mail.reword": ("Words of mails", ""),
    "tax.change": ("Tax", "jobs.TaxRule"),
    "price.change": ("Price list", ""),
    "price.raise": ("All prices by a percentage", ""),
    "price.fill": ("Price list from one price", ""),
    "newshop.name": ("Shop", "shopapp.Shop"),
    "newshop.solutions": ("Laying and bottles", ""),
    "chemical.change": ("Chemical", "mixing.Chemical"),
    "spot.change": ("Storage spot", "mixing.StorageSpot"),
    "recipe.change": ("Recipe", ""),
    "film.change": ("Film", "jobs.Film"),
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
    for action, (_what, label) in SETTINGS.items():
        keys = {row.answer.get("pk") for row in rows if row.action == action}
        if label and keys:
            model = apps.get_model(label)
            for each in model._default_manager.filter(pk__in=keys):
                found[action, each.pk] = str(each)
    return found


def _change(
    row: Submission, names: dict[tuple[str, int], str], system: System
) -> Change:
    what, label = SETTINGS[row.action]
    name = names.get((row.action, row.answer.get("pk", 0)), row.answer.get("name", ""))
    told = row.answer.get("changed", {})
    return Change(
        at=row.received_at,
        by=row.by,
        what=f"{_(what)}: {name}" if name else _(what),
        details=tuple(
            _detail(name, values, _field(label, name), system)
            for name, values in told.items()
        ),
    )


def _field(label: str, name: str) -> models.Field[Any, Any] | None:
    if not label:
        return None
    try:
        found = apps.get_model(label)._meta.get_field(name)
    except FieldDoesNotExist:
        return None
    return found if isinstance(found, models.Field) else None


def _detail(
    name: str,
    values: list[Any],
    field: models.Field[Any, Any] | None,
    system: System,
) -> tuple[str, str, str]:
    label = str(field.verbose_name) if field else name.replace("_", " ")
    if len(values) != 2:
        return label, "", ""
    words = dict(field.flatchoices) if field else {}
    before, after = (_shown(name, words.get(v, v), system) for v in values)
    return label, before, after


def _shown(name: str, value: Any, system: System) -> str:
    if isinstance(value, bool):
        return _("yes") if value else _("no")
    if isinstance(value, int | float):
        ending = next((e for e in UNITS_BY_ENDING if name.endswith(f"_{e}")), "")
        if ending:
            unit = UNIT_OF.get(ending, ending)
            return str(show(value, unit=unit, system=system))
    return "–" if value in (None, "") else str(value)
