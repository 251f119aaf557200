"""The shop's price list."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal

from shopapp.frame import Act, action
from shopapp.models import Price


@action("price.change")
def set_prices(
    act: Act, *, prices: Mapping[str, Decimal | None], labels: Mapping[str, str]
) -> None:
    """Write the list as typed; an empty cell is no price."""
    Price.objects.filter(
        code__in=[code for code, amount in prices.items() if amount is None]
    ).delete()
    for code, amount in prices.items():
        if amount is not None:
            Price.objects.update_or_create(
                code=code, defaults={"amount": amount, "label": labels[code]}
            )
