"""Forms about money that came in, or went back."""

from __future__ import annotations

from django import forms
from django.utils.translation import gettext_lazy as _

from jobs import limits
from jobs.models import PAID_BY, Discount, Payment
from shopapp.amounts import Money
from shopapp.columns import column


class PaymentForm(forms.Form):
    """Money that came in. `over` is asked for when it is more than is owed."""

    amount = Money(
        label=_("Amount"),
        within=limits.PAYMENT,
        max_digits=10,
        decimal_places=2,
        error_messages={"min_value": _("A payment is more than nothing.")},
    )
    # It stands at what is owed: a part of it is typed over it, not in front of it.
    amount.widget.attrs["data-whole"] = True
    how = forms.ChoiceField(label=_("Paid by"), choices=PAID_BY)
    over = forms.BooleanField(label=_("Yes, so much was received"), required=False)


class ReverseForm(forms.Form):
    """Why a payment is taken back."""

    because = column(
        Payment.because,
        _("Why is it taken back?"),
        error_messages={"required": _("Say why it is taken back.")},
        required=True,
    )


class CancelForm(forms.Form):
    """Why a booking is cancelled, and where a paid deposit goes."""

    deposit = forms.ChoiceField(
        label=_("The deposit"),
        choices=[("given_back", _("is given back")), ("kept", _("is kept"))],
        widget=forms.RadioSelect,
        required=False,
    )
    because = forms.CharField(label=_("Why?"), max_length=160, required=False)


class Percent(Money):
    """Per cent of the price."""

    beside = "%"


class DiscountForm(forms.Form):
    """Less than the list: an amount or per cent, and why."""

    pct = Percent(
        label=_("Per cent"),
        within=limits.DISCOUNT_PCT,
        max_digits=6,
        decimal_places=3,
        required=False,
    )
    amount = Money(
        label=_("or an amount"),
        within=limits.PAYMENT,
        max_digits=10,
        decimal_places=2,
        required=False,
    )
    because = column(
        Discount.because,
        _("Why does it cost less?"),
        error_messages={"required": _("Say why it costs less.")},
    )
