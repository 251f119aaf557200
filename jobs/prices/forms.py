"""The price list: packages by size, single panels, what an hour costs."""

from __future__ import annotations

from typing import Any

from django import forms
from django.forms.boundfield import BoundField
from django.utils.translation import gettext_lazy as _

from jobs import limits
from jobs.bookings.forms import money_field
from jobs.coverage.blanks import size_classes
from jobs.models import TaxRule
from jobs.prices.factors import SIZE_FACTORS
from jobs.prices.list_queries import price_labels
from jobs.prices.queries import (
    COST_PER_HOUR,
    EDGE,
    PACKAGES,
    package_code,
    panel_code,
    panel_kinds,
    price_rows,
)
from shopapp.amounts import Money, Whole
from shopapp.columns import column


class PricesForm(forms.Form):
    """A cell for each price; its name is the price's code."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.labels = price_labels()
        for code, label in self.labels.items():
            self.fields[code] = money_field(label, required=False)

    def packages(self) -> list[tuple[str, list[BoundField]]]:
        """A row for each size class, a cell for each package."""
        return [
            (name, [self[package_code(package, size)] for package in PACKAGES])
            for size, name in size_classes().items()
        ]

    def singles(self) -> list[BoundField]:
        """A cell for each kind of panel."""
        return [self[panel_code(kind)] for kind in panel_kinds()]

    def edge(self) -> BoundField:
        """What a panel's edge costs that is wrapped and was to be cut short."""
        return self[EDGE]

    def hour(self) -> BoundField:
        """What an hour costs the shop."""
        return self[COST_PER_HOUR]

    def clean(self) -> dict[str, Any]:
        """Codes to amounts, as one fact."""
        cleaned = super().clean() or {}
        return {"prices": dict(cleaned), "labels": self.labels}


class Percent(Money):
    """Percent of a price."""

    beside = "%"


class TaxForm(forms.Form):
    """The shop's tax."""

    pct = Percent(
        label=_("Rate"),
        within=limits.TAX_PCT,
        max_digits=6,
        decimal_places=3,
    )
    name = column(TaxRule.name, _("What it is called"))
    is_included = column(
        TaxRule.is_included, _("The list's prices hold the tax already")
    )
    untaxed_pay_net = column(
        TaxRule.untaxed_pay_net,
        _("A customer without tax pays the list's price less the tax it holds"),
    )
    number = column(TaxRule.number, _("The shop's tax number, for invoices"))
    account_days = Whole(
        label=_("Account customers pay within"), within=limits.ACCOUNT_DAYS
    )
    foot = column(TaxRule.foot, _("What the law asks at the foot of an invoice"))


def prices_initial() -> dict[str, Any]:
    """The list as it is."""
    return dict(price_rows())


class RaiseForm(forms.Form):
    """All prices by a percentage."""

    pct = Percent(
        label=_("All prices by"),
        within=limits.RAISED_PCT,
        max_digits=6,
        decimal_places=2,
        help_text=_("5 is five percent more, -5 five percent less."),
    )
    step = Money(
        label=_("Rounded to"),
        within=limits.PRICE_STEP,
        max_digits=6,
        decimal_places=2,
        initial=10,
    )


class FillForm(forms.Form):
    """The whole list from one price and a factor for each size."""

    full_front = Money(
        label=_("A full front on a mid-size car"),
        within=limits.PAYMENT,
        max_digits=10,
        decimal_places=2,
    )
    step = Money(
        label=_("Rounded to"),
        within=limits.PRICE_STEP,
        max_digits=6,
        decimal_places=2,
        initial=10,
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for size, name in size_classes().items():
            self.fields[f"size_{size}"] = Money(
                label=name,
                within=limits.SIZE_FACTOR,
                max_digits=5,
                decimal_places=3,
                initial=SIZE_FACTORS[size],
            )

    def sizes(self) -> list[BoundField]:
        """A factor for each size class."""
        return [self[name] for name in self.fields if name.startswith("size_")]


class DayForm(forms.Form):
    """The day on which a price held."""

    day = forms.DateField(
        label=_("The list as it was on"),
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
    )
