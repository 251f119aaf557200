"""Taking a car in."""

from __future__ import annotations

from typing import Any

from django.utils.translation import gettext_lazy as _

from jobs import limits
from jobs.models import WorkOrder
from jobs.workorders.forms import PlaceForm
from shopapp.amounts import Whole
from shopapp.columns import column


class TakeInForm(PlaceForm):
    """Keys, mileage, where it stands."""

    key_tag = column(WorkOrder.key_tag, _("Key tag"))
    mileage = Whole(label=_("Mileage"), within=limits.MILEAGE, required=False)

    field_order = ["key_tag", "mileage", "where"]

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        where = self.fields["where"]
        where.required = False
        where.choices = [("", _("not said yet")), *where.choices]  # type: ignore[attr-defined]
