"""The shop's price list."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from typing import Any

from jobs import limits
from jobs.models import PriceChange, TaxRule
from jobs.prices.factors import raised
from jobs.prices.list_queries import filled_prices, price_labels
from jobs.prices.queries import COST_PER_HOUR
from shopapp.actions import write
from shopapp.frame import Act, Json, Refused, action, refuse_outside
from shopapp.models import Price, Shop
from shopapp.say import say


@action("price.change")
def set_prices(
    act: Act, *, prices: Mapping[str, Decimal | None], labels: Mapping[str, str]
) -> Json:
    """Write the list as typed; an empty cell is no price. What was before is kept."""
    refuse_outside(dict.fromkeys(prices, limits.MONEY), prices)
    return _write(act, prices, labels=labels)


def _write(
    act: Act, prices: Mapping[str, Decimal | None], *, labels: Mapping[str, str]
) -> Json:
    """Set prices, a row of what was before for each that differs."""
    act.lock(Shop, 1)
    before = dict(Price.objects.filter(code__in=prices).values_list("code", "amount"))
    changed = {
        code: after for code, after in prices.items() if after != before.get(code)
    }
    gone = [code for code, after in changed.items() if after is None]
    Price.objects.filter(code__in=gone).delete()
    for code, amount in changed.items():
        if amount is not None:
            Price.objects.update_or_create(
                code=code, defaults={"amount": amount, "label": labels[code]}
            )
    PriceChange.objects.bulk_create(
        PriceChange(
            code=code,
            label=labels[code],
            before=before.get(code),
            after=after,
            since=act.now,
            by=act.tap.by,
        )
        for code, after in changed.items()
    )
    return {"count": len(changed)}


@action("price.raise", within=limits.RAISED)
def raise_prices(act: Act, *, pct: Decimal, step: Decimal) -> Json:
    """All prices of the list by a percentage; what an hour costs the shop stays."""
    rows = Price.objects.exclude(code=COST_PER_HOUR)
    known = {row.code: row for row in rows}
    if not known:
        raise Refused(say("The list has no price yet."))
    prices = {
        code: raised(amount=row.amount, pct=pct, step=step)
        for code, row in known.items()
    }
    labels = {code: row.label for code, row in known.items()}
    return set_prices(act, prices=prices, labels=labels) or {}


@action("price.fill", within=limits.FILLED)
def fill_prices(
    act: Act, /, *, full_front: Decimal, step: Decimal, **factors: Decimal
) -> Json:
    """The whole list from one price: a full front of a mid-size, and a factor a size.

    factors  `size_A` and so on; without them the usual ones
    """
    sizes = {name.removeprefix("size_"): value for name, value in factors.items()}
    prices = filled_prices(full_front=full_front, step=step, sizes=sizes)
    return set_prices(act, prices=prices, labels=price_labels()) or {}


@action("tax.change", within=limits.TAX)
def change_tax(act: Act, /, **fields: Any) -> Json:
    """Set the tax of what is agreed from now on; what was agreed keeps its own."""
    act.lock(Shop, 1)
    row = TaxRule.objects.filter(pk=1).first() or TaxRule(pk=1)
    return write(row, fields)
