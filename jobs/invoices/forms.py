"""Forms about invoices and accounts."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from jobs.invoices.actions import SHEETS
from jobs.invoices.queries import open_invoices
from jobs.models import Customer, Invoice
from jobs.money.forms import PaymentForm
from shopapp.columns import DATE, column


class CreditForm(forms.Form):
    """Why an invoice is reversed."""

    because = column(
        Invoice.because,
        _("Why is it reversed?"),
        error_messages={"required": _("Say why it is reversed.")},
        required=True,
    )


class SizeForm(forms.Form):
    """The sheet; empty: the shop's usual."""

    size = forms.ChoiceField(choices=[(size, size) for size in SHEETS], required=False)


class StatementForm(SizeForm):
    """From which day to which day."""

    since = forms.DateField(label=_("From"), widget=DATE)
    until = forms.DateField(label=_("Until"), widget=DATE)


class AccountPaymentForm(PaymentForm):
    """One payment, and the invoices it is for."""

    invoices = forms.TypedMultipleChoiceField(
        label=_("For"),
        coerce=int,
        required=False,
        widget=forms.CheckboxSelectMultiple,
    )

    def __init__(self, *args: Any, customer: Customer, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["invoices"].choices = [  # type: ignore[attr-defined]
            (each.invoice.pk, f"{each.invoice.number}, {each.invoice.vehicle}")
            for each in open_invoices(customer)
        ]
