"""The panel library: templates by class and body, and what the shop has measured."""

from __future__ import annotations

from dataclasses import dataclass

from django.db.models import QuerySet

from jobs.coverage.allowances import Allowance, allowance_of
from jobs.coverage.blanks import PanelSize, size_classes, template_size
from jobs.coverage.catalogue import Body, Method, panel_name, panels_on
from jobs.coverage.measured_queries import allowances, measured_size
from jobs.models import MeasuredPanel
from jobs.prices.queries import panel_kinds


@dataclass(frozen=True, kw_only=True)
class TemplateLine:
    """A panel of a class and body with its template."""

    code: str
    name: str
    size: PanelSize


@dataclass(frozen=True, kw_only=True)
class MeasuredLine:
    """A measured panel; `is_used` for the newest one of its kind."""

    row: MeasuredPanel
    cars: str
    name: str
    is_used: bool


@dataclass(frozen=True, kw_only=True)
class AllowanceLine:
    """What is added to a kind of panel, or to every panel.

    is_own  set for it by the shop
    """

    kind: str
    name: str
    method: Method
    allowance: Allowance
    is_own: bool


def template_lines(*, size_class: str, body: Body) -> list[TemplateLine]:
    """Every panel of such a car."""
    return [
        TemplateLine(
            code=panel.code,
            name=panel_name(panel.code, body=body),
            size=template_size(panel.code, size_class=size_class, body=body),
        )
        for panel in panels_on(body)
    ]


def measured_lines(rows: QuerySet[MeasuredPanel]) -> list[MeasuredLine]:
    """Newest first; an older one of the same car and panel stands for the record."""
    seen: set[tuple[str, str, str]] = set()
    lines = []
    for row in rows:
        cars = measured_size(row).cars
        key = (cars.casefold(), row.body, row.panel)
        name = panel_name(row.panel, body=Body(row.body))
        lines.append(
            MeasuredLine(row=row, cars=cars, name=name, is_used=key not in seen)
        )
        seen.add(key)
    return lines


def allowance_lines() -> list[AllowanceLine]:
    """What holds for every panel, by hand and pre-cut; then the kinds set apart."""
    shop = allowances()
    names = {"": "", **panel_kinds()}
    return [
        AllowanceLine(
            kind=kind,
            name=name,
            method=method,
            allowance=allowance_of(kind, method=method, shop=shop),
            is_own=(kind, method) in shop,
        )
        for kind, name in names.items()
        for method in Method
        if not kind or (kind, method) in shop
    ]


def chosen(text: str, *, known: list[str], default: str) -> str:
    """A choice of the address line, or the default for anything else."""
    return text if text in known else default


CLASSES = list(size_classes())
BODIES = [body.value for body in Body]
