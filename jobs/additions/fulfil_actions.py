"""The customer said yes: rows, film, price, papers and the plan follow."""

from __future__ import annotations

from jobs.additions.queries import body_of, coverage_of, film_for
from jobs.air.actions import keep_air
from jobs.coverage.catalogue import (
    coverage_problems,
)
from jobs.invoices.queries import refuse_invoiced
from jobs.models import (
    AddedWork,
    Addition,
    FilmReservation,
    OrderPanel,
    Paper,
    WorkOrder,
)
from jobs.papers.actions import ask_paper
from jobs.plan.forecast_actions import ask_to_carry_on
from shopapp.frame import Act, Refused
from shopapp.say import say


def put_on(act: Act, order: WorkOrder, row: Addition) -> None:
    """Put agreed work on its order; everything that hangs on it follows."""
    if row.asked:
        refuse_invoiced(order)
    if row.what == Addition.What.PANEL:
        _add_panel(order, row)
    elif row.what == Addition.What.EDGE:
        _change_edge(order, row)
    else:
        AddedWork.objects.create(
            workorder=order,
            name=row.work_name,
            minutes=row.minutes,
            when=row.when,
            skill=row.skill,
            price=row.price,
        )
    if order.price is not None and row.asked:
        order.price += row.asked
        order.save(update_fields=["price"])
    if row.film_mm:
        width_mm = film_for(order, row.choice).width_mm
        hold_film(order, length_mm=row.film_mm, width_mm=width_mm)
    keep_air(order, at=act.now)
    _new_work_order(act, order)
    ask_to_carry_on(act)


def _add_panel(order: WorkOrder, row: Addition) -> None:
    """A new row, or one that was struck off before."""
    problems = coverage_problems([*coverage_of(order), row.choice], body=body_of(order))
    if problems:
        raise Refused(*problems)
    OrderPanel.objects.update_or_create(
        workorder=order,
        panel=row.panel,
        defaults={
            "method": row.method,
            "edge": row.edge,
            "badge": row.badge,
            "seam": row.seam,
            "note": row.note,
            "edge_min": 0,
            "struck_off_at": None,
            "struck_off_because": "",
        },
    )


def _change_edge(order: WorkOrder, row: Addition) -> None:
    panel = order.panels.filter(panel=row.panel).first()
    if panel is None or panel.struck_off_at or panel.laid_at:
        raise Refused(
            say("This panel has film, or was struck off, since it was offered.")
        )
    panel.edge, panel.edge_min = row.edge, row.minutes
    panel.save(update_fields=["edge", "edge_min"])


def hold_film(order: WorkOrder, *, length_mm: int, width_mm: int) -> None:
    """Hold so much more film with what the booking still holds, or alone."""
    if order.booking_id is None:
        return
    held = FilmReservation.objects.filter(booking=order.booking_id).first()
    if held is None:
        held = FilmReservation(booking=order.booking, film=order.film, length_mm=0)
    still = held.length_mm if held.released_at is None else 0
    held.length_mm = still + length_mm
    held.width_mm = max(held.width_mm or 0, width_mm)
    held.released_at = None
    held.save()


def _new_work_order(act: Act, order: WorkOrder) -> None:
    """A printed work order is printed anew; the new version names what it replaces."""
    papers = order.papers.filter(kind=Paper.Kind.WORK_ORDER)
    if newest := papers.order_by("-version").first():
        # Read anew: its rows have changed since it was locked.
        fresh = WorkOrder.objects.get(pk=order.pk)
        ask_paper(act, kind=Paper.Kind.WORK_ORDER, workorder=fresh, size=newest.size)
