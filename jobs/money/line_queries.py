"""The lines that make the price of a booking or an order."""

from __future__ import annotations

from django.utils.translation import gettext

from jobs.coverage.catalogue import Package, panels
from jobs.models import Addition, Booking, Film, WorkOrder
from jobs.money.lines import NOTHING, LineKind, PriceLine, PriceLines, lines_of
from jobs.money.queries import tax_rule

NAMED = 3
"""So many single panels are named; more are counted."""


def price_lines(row: WorkOrder | Booking) -> PriceLines | None:
    """The lines of what was agreed; None while there is no price."""
    if row.price is None:
        return None
    rule = tax_rule()
    return lines_of(
        price=row.price,
        package=_package(row),
        others=[*_works(row), *_additions(row), *_discounts(row)],
        tax_name=f"{rule.name} {row.tax_pct.normalize():f} %",
        tax_pct=row.tax_pct,
        is_on_top=not rule.is_included,
    )


def _package(row: WorkOrder | Booking) -> PriceLine:
    booking = row.booking if isinstance(row, WorkOrder) else row
    panels_of = [each.panel for each in row.panels.all()]
    package = booking.package if booking else Package.SINGLE_PANELS.value
    return package_line(package, panels_of, film=row.film)


def package_line(package: str, codes: list[str], *, film: Film) -> PriceLine:
    """The first line of a price: the package, or its few panels; no amount yet."""
    name = gettext(package.replace("_", " "))
    if package == Package.SINGLE_PANELS:
        known = panels()
        name = ", ".join(gettext(known[code].name) for code in codes if code in known)
        if len(codes) > NAMED or not name:
            name = gettext("%(n)s panels") % {"n": len(codes)}
    return PriceLine(kind=LineKind.PACKAGE, name=f"{name}, {film.name}", amount=NOTHING)


def _works(row: WorkOrder | Booking) -> list[PriceLine]:
    return [
        PriceLine(kind=LineKind.WORK, name=work.name, amount=work.price)
        for work in row.added_work.all()
        if work.price
    ]


def _additions(row: WorkOrder | Booking) -> list[PriceLine]:
    """Panels and edges that were agreed on since; other work stands by itself."""
    if not isinstance(row, WorkOrder):
        return []
    agreed = Addition.objects.filter(
        workorder=row, state=Addition.State.AGREED, price__gt=0
    ).exclude(what=Addition.What.WORK)
    known = panels()
    return [
        PriceLine(
            kind=LineKind.ADDITION,
            name=gettext(known[each.panel].name) if each.panel in known else each.panel,
            amount=each.price,
        )
        for each in agreed
    ]


def _discounts(row: WorkOrder | Booking) -> list[PriceLine]:
    return [
        PriceLine(kind=LineKind.DISCOUNT, name=each.words, amount=-each.amount)
        for each in row.discounts.all()
        if each.ended_at is None
    ]
