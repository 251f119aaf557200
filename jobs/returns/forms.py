"""What came back, what is done about it, who pays."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from jobs.bookings.forms import moment_field, money_field
from jobs.checks.photo_forms import PhotoField, PhotoForm
from jobs.coverage.catalogue import Body, panel_name
from jobs.findings.trace import defect_kinds
from jobs.models import Defect, ReturnVisit, WorkOrder
from jobs.returns.queries import film_on, first_order
from jobs.returns.rules import DONE, Done, is_of_laying
from shopapp.columns import column

NOT_KNOWN = _("not yet known")


class FaultForm(PhotoForm):
    """What is seen, on which panels."""

    panels = forms.MultipleChoiceField(
        label=_("On which panel?"), widget=forms.CheckboxSelectMultiple
    )
    kind = forms.ChoiceField(label=_("What is seen"), widget=forms.RadioSelect)
    note = column(Defect.note, _("Note"))
    photo = PhotoField()

    def __init__(
        self,
        *args: Any,
        order: WorkOrder,
        but: WorkOrder | None = None,
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, **kwargs)
        body = Body(order.vehicle.body)
        known = film_on(first_order(order), but=but)
        self._offer("panels", [(code, panel_name(code, body=body)) for code in known])
        kinds = sorted(
            defect_kinds().values(), key=lambda kind: is_of_laying(kind.kind)
        )
        self._offer("kind", [(kind.kind, kind.name) for kind in kinds])
        if len(known) == 1:
            self.initial.setdefault("panels", list(known))

    def _offer(self, name: str, choices: list[tuple[str, str]]) -> None:
        field = self.fields[name]
        assert isinstance(field, forms.ChoiceField)
        field.choices = choices


class ReturnForm(FaultForm):
    """A return visit: what, who pays, and whether the car is here."""

    paid_by = forms.ChoiceField(
        label=_("Who pays"),
        choices=[("", NOT_KNOWN), *ReturnVisit.Payer.choices],
        required=False,
        widget=forms.RadioSelect,
    )
    asked = money_field(_("The customer pays"), required=False)
    arrives_at = moment_field(_("It comes on"), required=False)
    promised_at = moment_field(_("Promised for"), required=False)
    is_here = forms.TypedChoiceField(
        choices=[("yes", "yes"), ("no", "no")],
        coerce=lambda value: value == "yes",
        widget=forms.HiddenInput,
    )


class SettleForm(forms.Form):
    """What is done about one thing."""

    outcome = forms.ChoiceField(
        label=_("What is done"),
        choices=[(each.value, str(DONE[each])) for each in Done],
    )
    note = column(Defect.settled_note, _("Note"))


class PayerForm(forms.Form):
    """Who pays, and how much where the customer does."""

    paid_by = forms.ChoiceField(
        label=_("Who pays"),
        choices=ReturnVisit.Payer.choices,
        widget=forms.RadioSelect,
    )
    asked = money_field(_("The customer pays"), required=False)
