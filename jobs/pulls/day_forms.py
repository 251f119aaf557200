"""Which cars are pulled together."""

from __future__ import annotations

from typing import Any

from django import forms
from django.http import QueryDict
from django.utils.translation import gettext_lazy as _
from django.utils.translation import ngettext

from jobs.models import Film, WorkOrder


class DayForm(forms.Form):
    """Orders of one film."""

    workorders = forms.MultipleChoiceField(
        label=_("Cars"), widget=forms.CheckboxSelectMultiple
    )

    def __init__(
        self,
        data: QueryDict | None = None,
        *,
        film: Film,
        waiting: list[tuple[WorkOrder, int]],
    ) -> None:
        super().__init__(data, prefix=f"film-{film.pk}")
        self.film = film
        self.orders = {str(order.pk): order for order, _panels in waiting}
        self.fields["workorders"].choices = [  # type: ignore[attr-defined]
            (str(order.pk), _label(order, panels)) for order, panels in waiting
        ]
        self.fields["workorders"].initial = list(self.orders)

    def clean_workorders(self) -> list[WorkOrder]:
        """The orders themselves."""
        return [self.orders[pk] for pk in self.cleaned_data["workorders"]]

    def clean(self) -> dict[str, Any]:
        """`workorder_pks`; two at least."""
        cleaned = super().clean() or {}
        chosen = cleaned.pop("workorders", [])
        if not self.errors and len(chosen) < 2:
            self.add_error("workorders", _("Choose two cars or more."))
        self.chosen: list[WorkOrder] = chosen
        return {"workorder_pks": sorted(order.pk for order in chosen)}


def _label(order: WorkOrder, panels: int) -> str:
    to_cut = ngettext("%(n)d panel", "%(n)d panels", panels) % {"n": panels}
    parts = [f"{order.vehicle.known_by} {order.vehicle}", order.number, to_cut]
    return " · ".join(parts)
