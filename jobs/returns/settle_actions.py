"""What was done on a return visit, and who pays for it."""

from __future__ import annotations

from decimal import Decimal

from jobs import limits
from jobs.additions.fulfil_actions import hold_film
from jobs.additions.queries import film_for
from jobs.air.actions import keep_air
from jobs.invoices.queries import refuse_invoiced
from jobs.models import (
    Addition,
    Defect,
    FilmReservation,
    OrderPanel,
    ReturnVisit,
    WorkOrder,
)
from jobs.plan.forecast_actions import ask_to_carry_on
from jobs.returns.actions import visit_here
from jobs.returns.queries import named
from jobs.returns.rules import DONE, OUTCOMES, WITH_FILM, Done, is_undecided
from shopapp.frame import Act, Refused, action
from shopapp.say import say

Payer = ReturnVisit.Payer


@action("return.settle")
def settle_fault(
    act: Act, *, workorder_pk: int, defect_pk: int, outcome: str, note: str = ""
) -> None:
    """Keep what is done about one thing; it can be said anew until hand-over.

    outcome  a `Done`; with new film the panel goes through the stages as any other
    """
    order = act.lock(WorkOrder, workorder_pk)
    visit = visit_here(order)
    defect = visit.defects.filter(pk=defect_pk).first()
    if defect is None:
        raise Refused(say("This is not on this return visit."))
    if outcome not in list(Done):
        raise Refused(say("Say what is done about it."), field="outcome")
    if order.is_closed and not is_undecided(defect.state):
        raise Refused(say("This return visit is over. Begin another one."))
    panel = order.panels.filter(panel=defect.order_panel.panel).first()
    if panel and panel.laid_at:
        raise Refused(say("There is new film on this panel already."))
    had_film = defect.state in WITH_FILM
    defect.state = outcome
    defect.settled_by, defect.settled_at = act.by, act.now
    defect.settled_note = note.strip()
    defect.save()
    if panel and not order.is_closed:
        _panel_follows(act, order, visit, panel)
        _film_follows(act, order, panel, had=had_film, has=outcome in WITH_FILM)
    told = {"faults": named(defect), "outcome": str(OUTCOMES[outcome])}
    for each in (order, visit.of):
        act.event(each, "return_settled", visit=visit, defect=defect, **told)
    keep_air(order, at=act.now)
    ask_to_carry_on(act)


def _panel_follows(
    act: Act, order: WorkOrder, visit: ReturnVisit, panel: OrderPanel
) -> None:
    """A panel stays to be filmed while one of its faults may need film."""
    here = visit.defects.filter(order_panel__panel=panel.panel)
    states = set(here.values_list("state", flat=True))
    wanted = states & {*WITH_FILM, Defect.State.OPEN}
    words = [str(DONE[Done(state)]) for state in Done if state in states]
    panel.struck_off_at = None if wanted else act.now
    panel.struck_off_because = "" if wanted else ", ".join(words)[:120]
    panel.save(update_fields=["struck_off_at", "struck_off_because"])


def _film_follows(
    act: Act, order: WorkOrder, panel: OrderPanel, *, had: bool, has: bool
) -> None:
    """Film is held from the moment that it is known to be needed."""
    if had == has:
        return
    need = film_for(order, panel.choice)
    if has:
        hold_film(order, length_mm=need.length_mm, width_mm=need.width_mm)
        return
    for held in FilmReservation.objects.filter(booking=order.booking_id):
        held.length_mm = max(0, held.length_mm - need.length_mm)
        held.released_at = held.released_at or (None if held.length_mm else act.now)
        held.save()


@action("return.payer", within=limits.RETURN)
def set_payer(
    act: Act, *, workorder_pk: int, paid_by: str, asked: Decimal | None = None
) -> None:
    """Say who pays for putting it right, and what the customer pays; also afterwards.

    What was agreed on top of it stays in the price.
    """
    order = act.lock(WorkOrder, workorder_pk)
    visit = visit_here(order)
    if paid_by not in Payer.values:
        raise Refused(say("Say who pays."), field="paid_by")
    if paid_by == Payer.CUSTOMER and asked is None:
        raise Refused(
            say("Say what the customer pays; 0 where it costs nothing."), field="asked"
        )
    amount = asked if paid_by == Payer.CUSTOMER and asked is not None else Decimal(0)
    if amount != (visit.asked or 0):
        refuse_invoiced(order)
    known = _sold_on_top(order) if order.price is None else order.price
    order.price = known - (visit.asked or 0) + amount
    if order.price < 0:
        raise Refused(
            say("The discounts are higher than this. Take them back first."),
            field="asked",
        )
    order.save(update_fields=["price"])
    visit.paid_by, visit.asked = paid_by, amount
    visit.save(update_fields=["paid_by", "asked"])
    payer = str(Payer(paid_by).label)
    for each in (order, visit.of):
        act.event(each, "return_payer", visit=visit, payer=payer, amount=amount)


def _sold_on_top(order: WorkOrder) -> Decimal:
    """What was agreed since, while the visit itself had no price."""
    agreed = order.additions.filter(state=Addition.State.AGREED)
    return sum((each.asked for each in agreed), Decimal(0))
