"""Forms of the checks page: items, marks, paint, agreement."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from decimal import Decimal
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from jobs import limits
from jobs.checks.photo_forms import PhotoField, PhotoForm, PhotosField
from jobs.condition.forms import GaugeField
from jobs.condition.marks import ChecklistItem, ItemKind, Severity, mark_kinds
from jobs.condition.queries import SEVERITIES
from jobs.condition.signature import read_strokes, signature_problem
from jobs.condition.water_check import ANSWERS
from jobs.coverage.catalogue import Body, panel_name, panels_on
from jobs.models import Agreement, Mark, WorkOrder
from shopapp.amounts import Amount
from shopapp.columns import column
from shopapp.models import the_shop
from shopapp.telling import tell
from shopapp.typed import is_key


class AnswerForm(PhotoForm):
    """The one field that an item of a checklist takes."""

    def __init__(self, *args: Any, item: ChecklistItem, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.item = item
        name, field = _answer_field(item)
        # A photo goes only when its own button says so, not for want of a new one.
        going = "clear" in self.data or "take_away" in self.data
        field.required = item.kind is ItemKind.PHOTO and not going
        self.fields[name] = field

    def clean(self) -> dict[str, Any]:
        """Photos to add, or the one that is taken away."""
        cleaned = super().clean()
        if "photo" in cleaned:
            cleaned["photos"] = [each for each in cleaned.pop("photo") if each]
            away = self.data.get("take_away", "")
            cleaned["take_away"] = int(away) if is_key(away) else None
        return cleaned

    @property
    def value_field(self) -> forms.BoundField:
        """The field, whatever it is called."""
        return self[next(iter(self.fields))]


class Counted(Amount):
    """A number without a unit, a mileage or a count: a comma parts its thousands."""

    def fits(self, number: Decimal) -> bool:
        """A whole number, where one can be read."""
        return super().fits(number) and number == number.to_integral_value()


def _answer_field(item: ChecklistItem) -> tuple[str, forms.Field]:
    if item.kind is ItemKind.TICK:
        return "ticked", forms.BooleanField(label=item.text, required=False)
    if item.kind is ItemKind.NUMBER:
        return "number", (Amount if item.unit else Counted)(
            within=replace(limits.CHECK_NUMBER, unit=item.unit, of=limits.CHECK_NUMBER),
            label=item.text,
            required=False,
        )
    if item.kind is ItemKind.WATER:
        return "text", forms.ChoiceField(
            label=item.text,
            required=False,
            choices=[(answer, answer) for answer in ANSWERS],
        )
    if item.kind is ItemKind.TEXT:
        return "text", forms.CharField(
            label=item.text,
            required=False,
            max_length=500,
            widget=forms.Textarea(attrs={"rows": 2}),
        )
    return "photo", PhotosField(label=item.text)


class MarkForm(PhotoForm):
    """A mark: where, what, how bad; size, photo and note if they help."""

    panel = forms.ChoiceField(label=_("Panel"))
    kind = forms.ChoiceField(label=_("What is seen"))
    severity = forms.TypedChoiceField(
        label=_("How bad"),
        choices=[(level.value, word) for level, word in SEVERITIES.items()],
        coerce=int,
        initial=Severity.SLIGHT.value,
        widget=forms.RadioSelect,
    )
    size_mm = Amount(within=limits.MARK_MM, label=_("Size"), required=False)
    photo = PhotoField()
    note = column(Mark.note, _("Note"))

    def __init__(self, *args: Any, workorder: WorkOrder, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        body = Body(workorder.vehicle.body)
        covered = list(workorder.panels.values_list("panel", flat=True))
        others = [p.code for p in panels_on(body) if p.code not in covered]
        self.fields["panel"].choices = [  # type: ignore[attr-defined]
            ("", "–"),
            (_("to be filmed"), _named(covered, body=body)),
            (_("other panels"), _named(others, body=body)),
        ]
        kinds = [(code, kind.name) for code, kind in mark_kinds().items()]
        self.fields["kind"].choices = [("", "–"), *kinds]  # type: ignore[attr-defined]

    def clean_size_mm(self) -> int | None:
        """Whole millimetres."""
        size_mm: float | None = self.cleaned_data["size_mm"]
        if size_mm is None:
            return None
        return max(1, int(round(size_mm)))


def _named(codes: Iterable[str], *, body: Body) -> list[tuple[str, str]]:
    return [(code, panel_name(code, body=body)) for code in codes]


class PaintForm(forms.Form):
    """The thickness of one panel's paint, or that no gauge reads it."""

    thickness_um = GaugeField("thickness_um", label=_("Paint"), required=False)
    not_measurable = forms.CharField(max_length=60, required=False)


class AgreeForm(forms.Form):
    """How the customer agreed, to the marks that were shown."""

    how = forms.ChoiceField(choices=WorkOrder.Agreed.choices)
    mark_pks = forms.CharField(required=False, max_length=2000)
    name = column(
        Agreement.name, _("Name"), widget=forms.TextInput(attrs={"autocomplete": "off"})
    )

    def clean_mark_pks(self) -> list[int]:
        """The keys of the marks as numbers."""
        words = self.cleaned_data["mark_pks"].split()
        if not all(is_key(word) for word in words):
            raise forms.ValidationError(_("This page was out of date. Load it again."))
        return [int(word) for word in words]


class SignedForm(forms.Form):
    """Who signs, and the strokes of the finger."""

    name = column(
        Agreement.name, _("Name"), widget=forms.TextInput(attrs={"autocomplete": "off"})
    )
    strokes = forms.CharField(
        required=False, max_length=120_000, widget=forms.HiddenInput
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        name = self.fields["name"]
        name.required = True
        name.error_messages["required"] = _("Write who signed.")

    def clean_strokes(self) -> str:
        """An empty field is no signature."""
        sent: str = self.cleaned_data["strokes"]
        if problem := signature_problem(read_strokes(sent)):
            raise forms.ValidationError(tell(problem, system=the_shop().system))
        return sent


class SignForm(SignedForm, AgreeForm):
    """The drop-off, signed for."""
