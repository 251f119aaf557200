"""Prep chemicals used on an order."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from jobs import limits
from mixing.models import Chemical, Substance
from shopapp.amounts import Amount
from shopapp.models import Shop

PREP = (Substance.WIPE, Substance.REMOVER, Substance.ALCOHOL)


class PrepUseForm(forms.Form):
    """Which product, and how much of it."""

    chemical = forms.ModelChoiceField(
        label=_("Product"),
        queryset=Chemical.objects.filter(substance__in=PREP),
        empty_label=None,
        widget=forms.RadioSelect,
    )
    volume_ml = Amount(label=_("How much in all"), within=limits.PREP_ML)

    def clean(self) -> dict[str, Any]:
        """Litres, as they are kept."""
        cleaned = super().clean() or {}
        if volume_ml := cleaned.pop("volume_ml", None):
            cleaned["litres"] = volume_ml / 1000
        return cleaned


class RegisterForm(forms.Form):
    """The size of the register's paper."""

    size = forms.ChoiceField(label=_("Paper"), choices=Shop.PaperSize.choices)
