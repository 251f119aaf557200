"""The shop's price list."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from typing import Any

from jobs import limits
from jobs.models import TaxRule
from shopapp.actions import write
from shopapp.frame import Act, Json, action, refuse_outside
from shopapp.models import Price, Shop


@action("price.change")
def set_prices(
    act: Act, *, prices: Mapping[str, Decimal | None], labels: Mapping[str, str]
) -> None:
    """Write the list as typed; an empty cell is no price."""
    refuse_outside(dict.fromkeys(prices, limits.MONEY), prices)
    Price.objects.filter(
        code__in=[code for code, amount in prices.items() if amount is None]
    ).delete()
    for code, amount in prices.items():
        if amount is not None:
            Price.objects.update_or_create(
                code=code, defaults={"amount": amount, "label": labels[code]}
            )


@action("tax.change", within=limits.TAX)
def change_tax(act: Act, /, **fields: Any) -> Json:
    """Set the tax of what is agreed from now on; what was agreed keeps its own."""
    act.lock(Shop, 1)
    row = TaxRule.objects.filter(pk=1).first() or TaxRule(pk=1)
    return write(row, fields)
