"""Which day of the plan is printed."""

from __future__ import annotations

from django import forms
from django.utils.translation import gettext_lazy as _

from shopapp.columns import DATE


class PlanPaperForm(forms.Form):
    """The day; empty is today."""

    day = forms.DateField(label=_("Day"), required=False, widget=DATE)
