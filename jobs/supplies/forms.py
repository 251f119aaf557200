"""A thing that is not on the list yet."""

from __future__ import annotations

from django import forms
from django.utils.translation import gettext_lazy as _

from jobs.models import Supply
from shopapp.columns import column


class SupplyForm(forms.Form):
    """Its name."""

    name = column(Supply.name, _("Something else"))
