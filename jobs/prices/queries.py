"""The shop's price list, and what a job costs the shop behind it.

Codes of `Price` rows: `package/full_front/D`, `panel/hood`, `edge/wrapped`,
`cost/hour`. A price is for film of price factor 1; another film multiplies it.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from decimal import Decimal

from jobs.coverage.blanks import size_classes
from jobs.coverage.catalogue import Body, Package, package_panels, panels
from jobs.models import Film
from jobs.money.queries import tax_rule
from jobs.prices.estimate import AddedWork as WorkLine
from jobs.prices.estimate import Cost, Estimate, PriceKey, computed_cost, estimate
from shopapp.models import Price
from shopapp.once import once_a_page

COST_PER_HOUR = "cost/hour"
EDGE = "edge/wrapped"
PACKAGES = tuple(p for p in Package if p is not Package.SINGLE_PANELS)
MM_PER_M = Decimal(1000)


def package_code(package: Package, size_class: str) -> str:
    """Where a package's price for a size class stands."""
    return f"package/{package.value}/{size_class}"


def panel_code(kind: str) -> str:
    """Where a single panel's price stands, for every size."""
    return f"panel/{kind}"


@once_a_page
def price_rows() -> Mapping[str, Decimal]:
    """The whole list by code."""
    return dict(Price.objects.values_list("code", "amount"))


def list_prices(rows: Mapping[str, Decimal], *, film: Film) -> dict[PriceKey, Decimal]:
    """The list as `jobs.prices.estimate` asks for it, in this film."""
    found = {}
    for size in size_classes():
        for package in PACKAGES:
            if (amount := rows.get(package_code(package, size))) is not None:
                found[_key(words(package), size, film)] = amount * film.price_factor
        for kind, name in panel_kinds().items():
            if (amount := rows.get(panel_code(kind))) is not None:
                found[_key(name, size, film)] = amount * film.price_factor
    return found


def _key(item: str, size: str, film: Film) -> PriceKey:
    return PriceKey(item=item, size_class=size, film=film.name)


def words(package: Package) -> str:
    """A package as the customer hears it."""
    return package.value.replace("_", " ")


def panel_kinds() -> dict[str, str]:
    """Kinds of panels with their names, left and right as one."""
    return {panel.kind: panel.name for panel in panels().values()}


def items_of(package: Package, codes: Iterable[str], *, body: Body) -> list[str]:
    """What is sold: the package, and each panel beyond it."""
    if package is Package.SINGLE_PANELS:
        return [panels()[code].name for code in codes]
    covered = set(package_panels(package, body=body))
    beyond = [panels()[code].name for code in codes if code not in covered]
    return [words(package), *beyond]


def price_of(
    *,
    package: Package,
    codes: Sequence[str],
    body: Body,
    size_class: str,
    film: Film,
    added_work: Iterable[WorkLine],
) -> Estimate:
    """The estimate by the shop's list, with the shop's tax."""
    tax = tax_rule()
    return estimate(
        prices=list_prices(price_rows(), film=film),
        items=items_of(package, codes, body=body),
        size_class=size_class,
        film=film.name,
        added_work=added_work,
        tax_pct=tax.pct,
        tax_is_included=tax.is_included,
    )


def cost_of(
    *,
    film: Film,
    length_mm: int,
    width_mm: int,
    work_min: float,
    added_work: Iterable[WorkLine],
) -> Cost | None:
    """What the job costs the shop, or None while film or hour have no cost.

    `work_min` without the added work, whose minutes count by themselves.
    """
    per_hour = price_rows().get(COST_PER_HOUR)
    if per_hour is None or film.cost_per_m2 is None:
        return None
    return computed_cost(
        film_length_m=Decimal(length_mm) / MM_PER_M,
        film_cost_per_m=film.cost_per_m2 * Decimal(width_mm) / MM_PER_M,
        labour_min=Decimal(str(round(work_min, 3))),
        labour_cost_per_h=per_hour,
        solutions_cost=Decimal(0),
        added_work=added_work,
    )
