"""What the pages of a booking and of an order show of its price."""

from __future__ import annotations

from typing import Any

from jobs.models import Booking, WorkOrder
from jobs.money.forms import DiscountForm
from jobs.money.line_queries import price_lines
from shopapp.pressing import Bound, form_for


def price_shown(
    row: WorkOrder | Booking, bound: Bound | None, *, url_name: str
) -> dict[str, Any]:
    """The price's lines, the discounts that stand, and the form for one more."""
    return {
        "priced": price_lines(row),
        "discounts": [each for each in row.discounts.all() if not each.ended_at],
        "discount_form": form_for(DiscountForm, bound, url_name),
    }
