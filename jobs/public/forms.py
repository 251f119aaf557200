"""Forms of the customer's page."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from jobs import limits
from jobs.models import Mark, WorkOrder
from shopapp.amounts import Whole
from shopapp.columns import DATE, column

USUAL_LINK_DAYS = 60


class MarksForm(forms.Form):
    """The marks that were on the page when the customer agreed to them."""

    marks = forms.ModelMultipleChoiceField(
        queryset=Mark.objects.none(),
        error_messages={
            "invalid_choice": _("A mark has changed since. Look at the page again."),
            "required": _("There is no mark to agree to."),
        },
    )

    def __init__(self, *args: Any, order: WorkOrder, needed: bool) -> None:
        super().__init__(*args)
        marks = self.fields["marks"]
        assert isinstance(marks, forms.ModelMultipleChoiceField)
        marks.queryset = Mark.objects.filter(workorder=order)
        marks.required = needed

    def clean(self) -> dict[str, Any]:
        """Their keys, in order, and what else was typed."""
        cleaned = super().clean() or {}
        marks = cleaned.pop("marks", [])
        return cleaned | {"mark_pks": sorted(mark.pk for mark in marks)}


class DeclineForm(MarksForm):
    """A no to film over what was found, and why, where the customer says it."""

    because = column(Mark.declined_because, _("What should we know?"))


class RecheckAskForm(forms.Form):
    """A day that suits the customer."""

    on = forms.DateField(label=_("A day that suits you"), widget=DATE)


class LinkForm(forms.Form):
    """How long the customer's link is good for."""

    days = Whole(
        label=_("Good for, in days"),
        within=limits.LINK_DAYS,
        initial=USUAL_LINK_DAYS,
    )
