"""Taking a car in."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from jobs import limits
from jobs.workorders.forms import PlaceForm
from shopapp.amounts import Whole


class TakeInForm(PlaceForm):
    """Keys, mileage, where it stands."""

    key_tag = forms.CharField(label=_("Key tag"), max_length=12, required=False)
    mileage = Whole(label=_("Mileage"), within=limits.MILEAGE, required=False)

    field_order = ["key_tag", "mileage", "where"]

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        where = self.fields["where"]
        where.required = False
        where.choices = [("", _("not said yet")), *where.choices]  # type: ignore[attr-defined]
