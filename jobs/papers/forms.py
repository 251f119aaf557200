"""What is asked when a paper is printed."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from jobs.models import Paper
from jobs.papers.kind_facts import KINDS, SHEETS
from shopapp.amounts import Whole


class PaperForm(forms.Form):
    """A paper of an order: which, and on what size."""

    kind = forms.ChoiceField(
        choices=[(kind, Paper.Kind(kind).label) for kind in KINDS if KINDS[kind].icon]
    )
    size = forms.ChoiceField(choices=[(size, size) for size in SHEETS])


LABEL_SIZES = ("57x32", "100x60")
OTHER = "other"


class LabelForm(forms.Form):
    """The size of vessels' labels, and what they are printed on."""

    size = forms.ChoiceField(
        label=_("Size"),
        choices=[
            *((each, each.replace("x", " × ") + " mm") for each in LABEL_SIZES),
            (OTHER, _("another size")),
        ],
        widget=forms.RadioSelect,
    )
    width_mm = Whole(
        label=_("Width"),
        required=False,
        widget=forms.TextInput(attrs={"inputmode": "numeric"}),
    )
    height_mm = Whole(
        label=_("Height"),
        required=False,
        widget=forms.TextInput(attrs={"inputmode": "numeric"}),
    )
    sheet = forms.ChoiceField(
        label=_("Printed on"),
        choices=[
            ("", _("a label printer, one by one")),
            *((each, _("a sheet of %(size)s") % {"size": each}) for each in SHEETS),
        ],
        required=False,
        widget=forms.RadioSelect,
    )

    def clean(self) -> dict[str, Any]:
        """One `size`, such as "57x32" or "57x32 A4"."""
        typed: dict[str, Any] = super().clean() or {}
        sides, sheet = typed.get("size", ""), typed.get("sheet", "")
        if sides == OTHER and not self.errors:
            width, height = typed.get("width_mm"), typed.get("height_mm")
            for name, side in (("width_mm", width), ("height_mm", height)):
                if side is None:
                    self.add_error(name, _("Measure the label, in whole millimetres."))
            sides = f"{width}x{height}"
        return {"size": f"{sides} {sheet}".strip()}
