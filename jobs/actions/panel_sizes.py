"""The shop's own panel sizes: measured once, used for every such car."""

from __future__ import annotations

from jobs.blanks import size_problem
from jobs.coverage import Body
from jobs.models import MeasuredPanel
from shopapp.frame import Act, Json, Refused, action


@action("panelsize.add")
def add_panel_size(
    act: Act,
    *,
    model: str,
    body: str,
    size_class: str,
    panel: str,
    length_mm: int,
    width_mm: int,
    make: str = "",
    year_from: int | None = None,
    year_to: int | None = None,
) -> Json:
    """Keep a measured panel; it wins over the template of its class."""
    problem = size_problem(
        panel,
        length_mm=length_mm,
        width_mm=width_mm,
        size_class=size_class,
        body=Body(body),
    )
    if problem:
        raise Refused(problem, field="length_mm")
    row = MeasuredPanel.objects.create(
        make=make.strip(),
        model=model.strip(),
        body=body,
        year_from=year_from,
        year_to=year_to,
        panel=panel,
        length_mm=length_mm,
        width_mm=width_mm,
        measured_by=act.by,
        measured_at=act.now,
    )
    return {"pk": row.pk}
