"""What is asked when a paper is printed."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from jobs.models import Paper
from jobs.papers.kinds import KINDS, SHEETS


class PaperForm(forms.Form):
    """A paper of an order: which, and on what size."""

    kind = forms.ChoiceField(
        choices=[(kind, Paper.Kind(kind).label) for kind in KINDS if KINDS[kind].icon]
    )
    size = forms.ChoiceField(choices=[(size, size) for size in SHEETS])


class LabelForm(forms.Form):
    """A vessel's label and its size."""

    subject = forms.CharField(max_length=40, widget=forms.HiddenInput)
    width_mm = forms.IntegerField(
        label=_("Width"), widget=forms.TextInput(attrs={"inputmode": "numeric"})
    )
    height_mm = forms.IntegerField(
        label=_("Height"), widget=forms.TextInput(attrs={"inputmode": "numeric"})
    )

    def clean(self) -> dict[str, Any]:
        """The two sides as one size."""
        typed: dict[str, Any] = super().clean() or {}
        width, height = typed.pop("width_mm", None), typed.pop("height_mm", None)
        return {**typed, "size": f"{width}x{height}"} if width and height else typed
