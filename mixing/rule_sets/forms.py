"""A set of safety rules as a manager types it, row by row."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from django import forms
from django.utils import timezone
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from mixing.models import RuleSet, RuleSetVersion
from mixing.rule_sets.queries import GROUPS, rule_set_names
from mixing.safety.rule_rows import (
    SLOTS,
    UNITS_OF,
    RuleRow,
    Slot,
    row_to_json,
    row_troubles,
    set_troubles,
    slot_of,
)
from shopapp.amounts import Number
from shopapp.columns import column

TEXTS = {"paragraph": (80, _("Paragraph")), "source": (200, _("Source"))}
FROM_ABOVE = ("paragraph", "source", "dated")
LONGEST_LINE = 160
"""Of an instruction: what stands in one line of the safety notes."""


def _why() -> Any:
    return column(
        RuleSetVersion.why,
        _("Why, and who decided it"),
        help_text=_("Such as: limits as the fire office wrote them to us."),
    )


class RuleSetAddForm(forms.Form):
    """A new set: its name and what it begins with."""

    name = column(
        RuleSet.name,
        _("Name of the set"),
        help_text=_("Whose rules they are: the country, the state, the town."),
    )
    begin_with = forms.ChoiceField(label=_("Begin with"), required=False)
    why = _why()

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        field = self.fields["begin_with"]
        assert isinstance(field, forms.ChoiceField)
        copies = [(name, _copy_of(name)) for name in rule_set_names()]
        field.choices = [("", _("empty rows")), *copies]


def _copy_of(name: str) -> str:
    return gettext("a copy of: %(name)s") % {"name": name}


class Plain(Number):
    """A number of any size in the unit beside it."""

    def __init__(self, *, label: str) -> None:
        super().__init__(
            label=label,
            required=False,
            error_messages={"invalid": _("Enter a number.")},
        )
        self.widget = forms.TextInput(
            attrs={"inputmode": "decimal", "size": 7, "aria-label": label}
        )

    def prepare_value(self, value: Any) -> Any:
        """Without noise; what was typed stays."""
        return f"{value:.10g}" if isinstance(value, float) else value


@dataclass(frozen=True, kw_only=True)
class TypedRow:
    """The fields of one slot, for the page."""

    slot: Slot
    cells: dict[str, forms.BoundField]

    @property
    def has_errors(self) -> bool:
        """Whether anything is said at one of them."""
        return any(cell.errors for cell in self.cells.values())

    @property
    def is_blank(self) -> bool:
        """Whether the set says nothing of it; a place may have fewer sums."""
        said = [self.cells[n] for n in ("value", "line", "none") if n in self.cells]
        is_sum = self.slot.group == "sum"
        return not is_sum and all(c.value() in (None, "", False) for c in said)


class RuleSetForm(forms.Form):
    """Every slot of a set: value, unit, or none; paragraph, source, date."""

    number = forms.IntegerField(widget=forms.HiddenInput)
    why = _why()

    def __init__(self, *args: Any, rows: Sequence[RuleRow] = (), **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        known = {row.slot: row for row in rows}
        for slot in SLOTS:
            self._add(slot, known.get(slot.key, RuleRow(slot=slot.key)))

    def _add(self, slot: Slot, row: RuleRow) -> None:
        made: dict[str, forms.Field] = {
            "value": Plain(label=f"{slot.what}: {gettext('at most')}"),
            "unit": forms.ChoiceField(
                choices=[(unit, unit) for unit in UNITS_OF[slot.unit]],
                required=False,
                initial=row.unit,
            ),
            "none": forms.BooleanField(required=False, initial=not row.applies),
            "dated": forms.CharField(max_length=10, required=False, initial=row.dated),
        }
        made["value"].initial = row.value
        if slot.group == "duty":
            made = {name: made[name] for name in ("none", "dated")}
            made["line"] = forms.CharField(
                max_length=LONGEST_LINE,
                required=False,
                initial=row.line,
                widget=forms.Textarea(attrs={"rows": 2}),
            )
        if slot.group in ("sum", "duty"):
            made["categories"] = forms.RegexField(
                r"^[1-4 ,]*$",
                max_length=12,
                required=False,
                initial=row.categories,
                error_messages={"invalid": _("Write the categories as: 1 2 3.")},
            )
        for name, (longest, _label) in TEXTS.items():
            made[name] = forms.CharField(
                max_length=longest, required=False, initial=getattr(row, name)
            )
        for name, field in made.items():
            field.widget.attrs["aria-label"] = f"{slot.what}: {_SAID[name]}"
            self.fields[f"{slot.key}-{name}"] = field

    def clean(self) -> dict[str, Any]:
        """Rows as they are kept; what is wrong is said at its field."""
        cleaned = super().clean() or {}
        rows = _filled_down([_row(slot, cleaned) for slot in SLOTS])
        this_year = timezone.localdate().year
        for row in rows:
            for name, told in row_troubles(row, this_year=this_year):
                self._tell(f"{row.slot}-{name}", told)
        for slot, name, told in set_troubles(rows):
            self._tell(f"{slot}-{name}", told)
        said = [row_to_json(row) for row in rows if not row.is_blank]
        return {
            "number": cleaned.get("number"),
            "why": cleaned.get("why", ""),
            "rows": said,
        }

    def _tell(self, field: str, told: str) -> None:
        if field not in self.errors:
            self.add_error(field, gettext(told))

    def groups(self) -> list[tuple[Any, bool, int, list[TypedRow]]]:
        """Rows under their headings; whether one is wrong, and how many are blank."""
        found = []
        for group, title in GROUPS.items():
            rows = [
                TypedRow(slot=slot, cells=self._cells(slot))
                for slot in SLOTS
                if slot.group == group
            ]
            blank = sum(row.is_blank for row in rows)
            wrong = any(row.has_errors for row in rows)
            found.append((gettext(title), wrong, blank, rows))
        return found

    def _cells(self, slot: Slot) -> dict[str, forms.BoundField]:
        return {
            name: self[f"{slot.key}-{name}"]
            for name in _SAID
            if f"{slot.key}-{name}" in self.fields
        }


_SAID = {
    "value": "at most",
    "line": "instruction",
    "unit": "unit",
    "none": "no such limit",
    "categories": "categories",
    "paragraph": "paragraph",
    "source": "source",
    "dated": "date of the text",
}


def _row(slot: Slot, cleaned: dict[str, Any]) -> RuleRow:
    def text(name: str) -> str:
        return str(cleaned.get(f"{slot.key}-{name}") or "").strip()

    value = cleaned.get(f"{slot.key}-value")
    categories = " ".join(sorted(set(text("categories")) & set("1234")))
    return RuleRow(
        slot=slot.key,
        value=value,
        unit=text("unit"),
        applies=not cleaned.get(f"{slot.key}-none"),
        line=" ".join(text("line").split()),
        categories=categories,
        paragraph=text("paragraph"),
        source=text("source"),
        dated=text("dated"),
    )


def _filled_down(rows: list[RuleRow]) -> list[RuleRow]:
    """Paragraph, source and date left empty are those of the row above."""
    above: dict[str, dict[str, str]] = {}
    found = []
    for row in rows:
        known = above.setdefault(slot_of(row.slot).group, {})
        said = {name: getattr(row, name) or known.get(name, "") for name in FROM_ABOVE}
        if not row.is_blank:
            row = RuleRow(**{**row_to_json(row), **said})  # type: ignore[arg-type]
            known.update(said)
        found.append(row)
    return found
