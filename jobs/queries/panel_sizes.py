"""The panel library: templates by class and body, and what the shop has measured."""

from __future__ import annotations

from dataclasses import dataclass

from django.db.models import QuerySet

from jobs.blanks import PanelSize, size_classes, template_size
from jobs.coverage import Body, panel_name, panels_on
from jobs.models import MeasuredPanel


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
    name: str
    is_used: bool


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
        key = (row.model.lower(), row.body, row.panel)
        name = panel_name(row.panel, body=Body(row.body))
        lines.append(MeasuredLine(row=row, name=name, is_used=key not in seen))
        seen.add(key)
    return lines


def chosen(text: str, *, known: list[str], default: str) -> str:
    """A choice of the address line, or the default for anything else."""
    return text if text in known else default


CLASSES = list(size_classes())
BODIES = [body.value for body in Body]
