"""Rules, acceptance standard and checklists as they are typed."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from django import forms
from django.forms.boundfield import BoundField
from django.utils.text import slugify
from django.utils.translation import gettext_lazy as _

from jobs import limits
from jobs.checks.queries import newest_version, version_items
from jobs.condition.marks import ChecklistItem, ItemKind
from jobs.findings.trace import defect_kinds
from jobs.models import Checklist, ChecklistVersion
from jobs.rules.queries import RuleLine, rule_lines, rules_of_another_version
from jobs.rules.table import Level
from shopapp.amounts import Amount
from shopapp.columns import column
from shopapp.models import the_shop
from shopapp.settings_forms import whole
from shopapp.typed import readings
from shopapp.units import UNITS, shown, to_base

NEW_ROWS = 4
LONGEST_CODE = 64
ITEM_UNITS = ("", "um", "mm", "m", "degc", "pct", "min", "kpa", "ml")
KINDS = [
    (ItemKind.TICK.value, _("tick")),
    (ItemKind.NUMBER.value, _("number")),
    (ItemKind.TEXT.value, _("text")),
    (ItemKind.PHOTO.value, _("photo")),
    (ItemKind.WATER.value, _("water check: sheets, patches or beads")),
]
OURS = "entered by the shop"


class RulesForm(forms.Form):
    """A level for each rule that is not hard."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.lines = rule_lines()
        self.unknown = rules_of_another_version()
        for line in self.lines:
            if not line.is_hard:
                self.fields[line.rule.value] = forms.ChoiceField(
                    label=str(line.info.title),
                    choices=[
                        (Level.ADVICE.value, _("advice")),
                        (Level.REASON.value, _("asks for a reason")),
                    ],
                    initial=line.level.value,
                    widget=forms.RadioSelect,
                )

    def groups(self) -> list[tuple[Any, list[tuple[RuleLine, BoundField | None]]]]:
        """Rules under where they speak, each with its field; hard ones have none."""
        groups: dict[str, Any] = {}
        for line in self.lines:
            field = None if line.is_hard else self[line.rule.value]
            found = groups.setdefault(str(line.info.where), (line.info.where, []))
            found[1].append((line, field))
        return list(groups.values())

    def clean(self) -> dict[str, Any]:
        """Codes to levels, as one fact."""
        return {"levels": dict(super().clean() or {})}


class AcceptanceForm(forms.Form):
    """What the shop lets pass."""

    largest_mm = Amount(label=_("A defect up to"), within=limits.PASSED_MM)
    per_panel = whole(_("So many on one panel"), within=limits.PASSED_COUNT)
    distance_mm = Amount(label=_("Looked at from"), within=limits.LOOK_FROM_MM)
    light = forms.CharField(label=_("Light"), max_length=60)
    watched = forms.MultipleChoiceField(
        label=_("Watched until the recheck, and not counted"),
        required=False,
        widget=forms.CheckboxSelectMultiple,
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        field = self.fields["watched"]
        assert isinstance(field, forms.MultipleChoiceField)
        field.choices = [(code, kind.name) for code, kind in defect_kinds().items()]


@dataclass(frozen=True, kw_only=True)
class ItemRow:
    """The fields of one line of a checklist."""

    code: BoundField
    at: BoundField
    text: BoundField
    kind: BoundField
    required: BoundField
    low: BoundField
    high: BoundField
    unit: BoundField


class ChecklistForm(forms.Form):
    """The next version of a checklist: a row for each item, some empty ones.

    It is read by the version it was filled in on, whatever came after it.
    """

    version = forms.IntegerField(min_value=1, widget=forms.HiddenInput)
    why = column(ChecklistVersion.why, _("Why does it change?"))

    def __init__(self, *args: Any, checklist: Checklist, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.system = the_shop().system
        newest = newest_version(checklist)
        self.fields["version"].initial = newest
        seen = self["version"].value()
        number = int(seen) if str(seen).isdecimal() else newest
        items = version_items(checklist, number)
        self.known = {item.code: item for item in items}
        self.count = len(items) + NEW_ROWS
        self.units = [(unit, self._symbol(unit)) for unit in ITEM_UNITS]
        padded = [*items, *[None] * NEW_ROWS]
        for n, item in enumerate(padded, start=1):
            self._add_row(n, item)

    def _add_row(self, n: int, item: ChecklistItem | None) -> None:
        ends = self._limits(item) if item else ("", "")
        self.fields |= {
            f"code_{n}": forms.CharField(
                required=False,
                max_length=LONGEST_CODE,
                initial=item.code if item else "",
                widget=forms.HiddenInput,
            ),
            f"at_{n}": whole(_("Place"), within=limits.PLACE_IN_LIST, initial=n),
            f"text_{n}": forms.CharField(
                label=_("What to do"),
                max_length=120,
                required=False,
                initial=item.text if item else "",
            ),
            f"kind_{n}": forms.ChoiceField(
                label=_("Takes a"),
                choices=KINDS,
                initial=item.kind.value if item else ItemKind.TICK.value,
            ),
            f"required_{n}": forms.BooleanField(
                label=_("required"),
                required=False,
                initial=item.is_required if item else False,
            ),
            f"low_{n}": _limit(_("From"), ends[0]),
            f"high_{n}": _limit(_("To"), ends[1]),
            f"unit_{n}": forms.ChoiceField(
                label=_("Unit"),
                required=False,
                choices=self.units,
                initial=item.unit if item else "",
            ),
        }

    def rows(self) -> Iterator[ItemRow]:
        """The fields row by row."""
        names = ItemRow.__dataclass_fields__
        for n in range(1, self.count + 1):
            yield ItemRow(**{name: self[f"{name}_{n}"] for name in names})

    def clean(self) -> dict[str, Any]:
        """Items in their places; a row without words is dropped."""
        cleaned = super().clean() or {}
        if self.errors:
            return cleaned
        found: list[tuple[int, ChecklistItem]] = []
        for n in range(1, self.count + 1):
            if cleaned[f"text_{n}"].strip():
                codes = {item.code for _at, item in found}
                found.append((cleaned[f"at_{n}"], self._item(n, cleaned, codes)))
        if not found:
            self.add_error("why", _("A checklist has at least one item."))
        ordered = sorted(found, key=lambda pair: pair[0])
        return {
            "version": cleaned["version"],
            "items": [item for _at, item in ordered],
            "why": cleaned["why"].strip(),
        }

    def _item(self, n: int, cleaned: dict[str, Any], taken: set[str]) -> ChecklistItem:
        text = cleaned[f"text_{n}"].strip()
        known = self.known.get(cleaned[f"code_{n}"])
        kind = ItemKind(cleaned[f"kind_{n}"])
        is_number = kind is ItemKind.NUMBER
        low, high = self._bounds(n, cleaned, known) if is_number else (None, None)
        return ChecklistItem(
            code=known.code if known else _new_code(text, taken | set(self.known)),
            text=text,
            kind=kind,
            is_required=cleaned[f"required_{n}"],
            low=low,
            high=high,
            unit=cleaned[f"unit_{n}"] if is_number else "",
            source=known.source if known and known.text == text else OURS,
        )

    def _bounds(
        self, n: int, cleaned: dict[str, Any], known: ChecklistItem | None
    ) -> tuple[float | None, float | None]:
        unit = cleaned[f"unit_{n}"]
        ends: list[float | None] = []
        for at, name in enumerate(("low", "high")):
            typed = cleaned[f"{name}_{n}"].strip()
            before = getattr(known, name) if known and known.unit == unit else None
            if known and typed == self._limits(known)[at]:
                ends.append(before)
                continue
            meant = readings(typed)
            if typed and len(meant) != 1:
                self.add_error(f"{name}_{n}", _("Enter a number."))
            ends.append(self._base(float(meant[0]), unit) if len(meant) == 1 else None)
        low, high = ends
        if low is not None and high is not None and low >= high:
            self.add_error(f"high_{n}", _("The upper end lies above the lower one."))
        return low, high

    def _symbol(self, unit: str) -> str:
        return shown(1.0, unit, system=self.system).symbol if unit else "–"

    def _limits(self, item: ChecklistItem) -> tuple[str, str]:
        """The limits as the shop reads them."""
        return self._shown(item.low, item.unit), self._shown(item.high, item.unit)

    def _shown(self, value: float | None, unit: str) -> str:
        if value is None:
            return ""
        if unit not in UNITS:
            return f"{value:g}"
        return shown(value, unit, system=self.system).number

    def _base(self, value: float, unit: str) -> float:
        return to_base(value, unit, system=self.system) if unit else value


def _limit(label: Any, initial: str) -> forms.CharField:
    return forms.CharField(
        label=label,
        max_length=12,
        required=False,
        initial=initial,
        widget=forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off"}),
    )


def _new_code(text: str, taken: set[str]) -> str:
    """A code of the words; numbered where it is taken."""
    stem = slugify(text).replace("-", "_")[:36] or "item"
    code, n = stem, 2
    while code in taken:
        code, n = f"{stem}_{n}", n + 1
    return code
