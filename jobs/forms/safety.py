"""Prep chemicals used on an order."""

from __future__ import annotations

from django import forms
from django.utils.translation import gettext_lazy as _

from mixing.models import Chemical, Substance
from shopapp.amounts import Amount

PREP = (Substance.WIPE, Substance.REMOVER, Substance.ALCOHOL)


class PrepUseForm(forms.Form):
    """Which product, and how much of it."""

    chemical = forms.ModelChoiceField(
        label=_("Product"),
        queryset=Chemical.objects.filter(substance__in=PREP),
        empty_label=None,
        widget=forms.RadioSelect,
    )
    litres = Amount(label=_("How much"), unit="l", low=0.005, high=50)


class RegisterForm(forms.Form):
    """The size of the register's paper."""

    size = forms.ChoiceField(
        label=_("Paper"), choices=[("A4", "A4"), ("Letter", "Letter")]
    )


class NoPrepForm(forms.Form):
    """None was used; the button says it all."""
