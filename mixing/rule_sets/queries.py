"""Which sets of safety rules there are, and the one that the shop goes by."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from django.utils.translation import gettext as _

from mixing.models import RuleSet, RuleSetVersion, StorageSpot
from mixing.safety.rule_rows import SLOTS, RuleRow, Slot, example_rows, row_from_json
from mixing.safety.rules import SafetyRules, entered_rules, safety_rules
from mixing.tables import table
from shopapp.models import Shop
from shopapp.once import once_a_page


def shipped_sets() -> list[str]:
    """The sets that come with the tables: examples, always there to choose."""
    return sorted({row["jurisdiction"] for row in table("storage_limits")})


def rule_set_names() -> list[str]:
    """Every set that a shop may go by, the shipped ones first."""
    return [*shipped_sets(), *RuleSet.objects.values_list("name", flat=True)]


def newest_version(rule_set: RuleSet) -> RuleSetVersion:
    """What a set says now."""
    return rule_set.versions.order_by("-number")[0]


def rows_of(version: RuleSetVersion) -> list[RuleRow]:
    """The rows of a version, as they were typed."""
    return [row_from_json(row) for row in version.rows]


def rows_to_begin_with(name: str) -> list[RuleRow]:
    """The rows of the named set, to begin another from; none for an empty name."""
    if not name:
        return []
    if name in shipped_sets():
        return list(example_rows(jurisdiction=name))
    return rows_of(newest_version(RuleSet.objects.get(name=name)))


def rules_of(shop: Shop) -> SafetyRules:
    """The rules that the shop goes by, with what is allowed in its rooms."""
    return rules_named(shop.jurisdiction)


@once_a_page
def rules_named(name: str) -> SafetyRules:
    """A set by its name; one that is not there says nothing, so nothing passes."""
    rooms = StorageSpot.objects.filter(form=StorageSpot.Form.ROOM)
    allowed = [
        (room.name, room.allowed_l) for room in rooms if room.allowed_l is not None
    ]
    if name in shipped_sets():
        return safety_rules(jurisdiction=name, room_limits_l=allowed)
    own = RuleSet.objects.filter(name=name).first()
    version = newest_version(own) if own else None
    return entered_rules(
        name=name,
        version=version.number if version else 0,
        rows=rows_of(version) if version else [],
        room_limits_l=allowed,
    )


GROUPS = {
    "size": "Largest container",
    "sum": "Most in one place",
    "air": "Vapor of isopropyl alcohol",
    "category": "Flammable categories",
    "waste": "Waste and drain",
    "label": "Labels: what a mix takes over",
    "duty": "Storage instructions",
}


@dataclass(frozen=True, kw_only=True)
class ShownRow:
    """A slot and what a set says of it."""

    slot: Slot
    row: RuleRow


def rule_groups(name: str) -> list[tuple[str, list[ShownRow]]]:
    """The rows of a set by group, every slot: what it does not say shows as such."""
    return grouped(rows_to_begin_with(name) if name in rule_set_names() else [])


def grouped(rows: Sequence[RuleRow]) -> list[tuple[str, list[ShownRow]]]:
    """Rows by group, a line for every slot; a sum that was not begun is left out."""
    known = {row.slot: row for row in rows}
    shown = [slot for slot in SLOTS if slot.group != "sum" or slot.key in known]
    return [
        (
            _(title),
            [
                ShownRow(slot=slot, row=known.get(slot.key, RuleRow(slot=slot.key)))
                for slot in shown
                if slot.group == group
            ],
        )
        for group, title in GROUPS.items()
    ]
