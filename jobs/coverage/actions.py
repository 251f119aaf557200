"""The shop's own panel sizes, and what it adds to a panel for its blank."""

from __future__ import annotations

from jobs import limits
from jobs.coverage.blanks import size_problem
from jobs.coverage.catalogue import Body
from jobs.models import MeasuredPanel, PanelAllowance
from shopapp.frame import Act, Json, Refused, action


@action("panelsize.add", within=limits.PANEL)
def add_panel_size(
    act: Act,
    *,
    model: str,
    body: str,
    size_class: str,
    panel: str,
    length_mm: int,
    width_mm: int,
    unit: str = "mm",
    make: str = "",
    year_from: int | None = None,
    year_to: int | None = None,
) -> Json:
    """Keep a measured panel; it wins over the template of its class.

    unit  what the sides were typed in, for the sentence about a slip
    """
    problem = size_problem(
        panel,
        length_mm=length_mm,
        width_mm=width_mm,
        size_class=size_class,
        body=Body(body),
        unit=unit,
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


@action("panelsize.allow", within=limits.ALLOWANCE)
def set_allowance(
    act: Act,
    *,
    kind: str,
    method: str,
    wrap_length_mm: float | None,
    wrap_width_mm: float | None,
    hold_length_mm: float | None,
    hold_width_mm: float | None,
) -> Json:
    """Set edge wrap and handling margin of a kind of panel, from the next plan on.

    kind  "" for every panel; a side that is None goes back to the wider answer
    """
    row = PanelAllowance.objects.create(
        kind=kind,
        method=method,
        wrap_length_mm=wrap_length_mm,
        wrap_width_mm=wrap_width_mm,
        hold_length_mm=hold_length_mm,
        hold_width_mm=hold_width_mm,
        set_by=act.by,
        set_at=act.now,
    )
    return {"pk": row.pk}
