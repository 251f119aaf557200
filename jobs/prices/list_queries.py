"""The whole list: its labels, filled from one price, and as it was on a day."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from decimal import Decimal

from django.utils.translation import gettext as _

from jobs.coverage.blanks import size_classes
from jobs.coverage.catalogue import (
    EDGE_MORE_MIN,
    Body,
    Package,
    Panel,
    package_panels,
    panels,
)
from jobs.models import PriceChange
from jobs.prices.factors import PACKAGE_FACTORS, SIZE_FACTORS, by_factor
from jobs.prices.queries import (
    COST_PER_HOUR,
    EDGE,
    PACKAGES,
    package_code,
    panel_code,
    panel_kinds,
    price_rows,
    words,
)
from shopapp.models import shop_day, the_shop


def price_labels() -> dict[str, str]:
    """Each code of the list in words."""
    labels = {
        package_code(package, size): f"{words(package)}, {name}"
        for size, name in size_classes().items()
        for package in PACKAGES
    }
    labels |= {panel_code(kind): name for kind, name in panel_kinds().items()}
    labels[EDGE] = str(_("An edge wrapped that was to be cut short"))
    labels[COST_PER_HOUR] = str(_("An hour of work costs the shop"))
    return labels


def filled_prices(
    *, full_front: Decimal, step: Decimal, sizes: Mapping[str, Decimal]
) -> dict[str, Decimal | None]:
    """Every price by factor of a full front; a panel by its share of the minutes.

    sizes  size class to factor; one that is absent has the usual one
    """
    factors = {**SIZE_FACTORS, **sizes}
    found: dict[str, Decimal | None] = {
        package_code(package, size): by_factor(
            amount=full_front, factor=share * factors[size], step=step
        )
        for size in size_classes()
        for package, share in PACKAGE_FACTORS.items()
    }
    codes = package_panels(Package.FULL_FRONT, body=Body.SEDAN)
    whole = sum((_minutes(panels()[code]) for code in codes), Decimal(0))
    for panel in panels().values():
        found[panel_code(panel.kind)] = by_factor(
            amount=full_front, factor=_minutes(panel) / whole, step=step
        )
    found[EDGE] = by_factor(
        amount=full_front, factor=Decimal(EDGE_MORE_MIN) / whole, step=step
    )
    return found


def _minutes(panel: Panel) -> Decimal:
    return Decimal(str(panel.total_low_min + panel.total_high_min)) / 2


def prices_on(day: date) -> dict[str, Decimal]:
    """The list as it stood when the shop closed on this day.

    What was never changed since a history is kept has stood unchanged.
    """
    _start, end = shop_day(day, zone=the_shop().zone)
    known: dict[str, Decimal | None] = dict(price_rows())
    for change in PriceChange.objects.filter(since__gte=end).order_by("-pk"):
        known[change.code] = change.before
    return {code: amount for code, amount in known.items() if amount is not None}
