"""Work added to an open order: offered, then agreed, declined or taken back."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from typing import Any

from jobs import limits
from jobs.additions.fulfil_actions import put_on
from jobs.additions.offered import film_is_over, other_edge
from jobs.additions.queries import (
    bare_panels,
    body_of,
    coverage_of,
    edge_price,
    film_for,
    listed_price,
    menu,
    said_of,
)
from jobs.air.actions import keep_air
from jobs.condition.agreement_actions import check_how, check_who, signature_of
from jobs.condition.reading_actions import lock_open
from jobs.coverage.catalogue import (
    EDGE_MORE_MIN,
    Badge,
    Edge,
    Method,
    PanelChoice,
    Seam,
    coverage_problems,
    laying_min,
    panel_name,
    panels,
)
from jobs.invoices.queries import refuse_invoiced
from jobs.models import AddedWork, Addition, Agreement, WorkOrder
from jobs.money.queries import listed_on, with_tax
from jobs.plan.forecast_actions import ask_to_carry_on
from shopapp.frame import Act, Json, Refused, action
from shopapp.models import the_shop
from shopapp.say import say

What, State = Addition.What, Addition.State
Facts = dict[str, Any]
ASKED = frozenset(
    {WorkOrder.Agreed.PHONE, WorkOrder.Agreed.PERSON}
    | {WorkOrder.Agreed.LINK, WorkOrder.Agreed.SIGNATURE}
)
"""Ways in which a customer answers an offer."""


@action("addition.offer", within=limits.WORK)
def offer_addition(
    act: Act,
    *,
    workorder_pk: int,
    what: str,
    panel: str = "",
    edge: str = "",
    work_pk: int | None = None,
    name: str = "",
    minutes: int | None = None,
    when: str = "",
    skill: str = "",
    price: Decimal | None = None,
) -> Json:
    """Offer a panel, another edge or other work; nothing is added before the yes.

    edge     of a new panel; "" as usual
    work_pk  a row of the menu: what is not said is taken from it
    price    as the list has prices; None by the list or the menu
    """
    order = lock_open(act, workorder_pk)
    if what == What.PANEL:
        facts = _panel(order, panel, edge=edge, price=price)
    elif what == What.EDGE:
        facts = _edge(order, panel, price=price)
    else:
        typed = {"name": name, "minutes": minutes, "when": when, "skill": skill}
        facts = _work(typed, work_pk=work_pk, price=price)
    same = {key: facts[key] for key in ("panel", "work_name") if key in facts}
    if Addition.objects.filter(
        workorder=order, what=what, state=State.OFFERED, **same
    ).exists():
        raise Refused(say("This is offered already and waits for the customer."))
    facts["price"] = listed_on(order, facts["price"])
    row = Addition.objects.create(
        workorder=order,
        what=what,
        asked=with_tax(facts["price"], tax_pct=order.tax_pct),
        offered_by=act.by,
        offered_at=act.now,
        **facts,
    )
    act.event(
        order,
        "addition_offered",
        offered=str(said_of(row)),
        amount=row.asked,
        addition=row.pk,
    )
    return {"pk": row.pk}


def _panel(order: WorkOrder, code: str, *, edge: str, price: Decimal | None) -> Facts:
    _film_can_be_laid(order)
    body, covered = body_of(order), coverage_of(order)
    method = covered[0].method if covered else Method.HAND_FITTED
    known = panels().get(code)
    usual = known.edge if known else Edge.WRAPPED
    choice = PanelChoice(panel=code, method=method, edge=Edge(edge) if edge else usual)
    if problems := coverage_problems([*covered, choice], body=body):
        raise Refused(*problems, field="panel")
    asked = listed_price(order, code) if price is None else price
    if asked is None:
        raise Refused(
            say(
                "The price list has no {panel} for this car. Say the price.",
                panel=panel_name(code, body=body),
            ),
            field="price",
        )
    return {
        **_coverage(choice),
        "price": asked,
        "film_mm": film_for(order, choice).length_mm,
        "minutes": round(laying_min(panels()[code], method=method).value),
    }


def _edge(order: WorkOrder, code: str, *, price: Decimal | None) -> Facts:
    _film_can_be_laid(order)
    row = bare_panels(order).filter(panel=code).first()
    if row is None:
        raise Refused(
            say("Choose a panel of this order that has no film yet."), field="panel"
        )
    then = replace(row.choice, edge=other_edge(row.edge))
    asked = edge_price(order, then.edge) if price is None else price
    if asked is None:
        raise Refused(
            say("The price list has no wrapped edge. Say the price."), field="price"
        )
    more_mm = film_for(order, then).length_mm - film_for(order, row.choice).length_mm
    return {
        **_coverage(then),
        "price": asked,
        "film_mm": max(0, more_mm),
        "minutes": EDGE_MORE_MIN if then.edge is Edge.WRAPPED else 0,
    }


def _work(typed: Facts, *, work_pk: int | None, price: Decimal | None) -> Facts:
    known = menu().filter(pk=work_pk).first() if work_pk else None
    if work_pk and known is None:
        raise Refused(say("This is not on the menu any more."), field="work")
    facts = {
        name: said or (getattr(known, name) if known else said)
        for name, said in typed.items()
    }
    for name, sentence in WANTED.items():
        if not str(facts[name] or "").strip():
            raise Refused(sentence, field=name)
    asked = known.price if price is None and known else price
    if asked is None:
        raise Refused(say("Say the price; 0 where it costs nothing."), field="price")
    facts["work_name"] = facts.pop("name").strip()
    return {**facts, "price": asked}


WANTED = {
    "name": say("Choose other work, or say what is to be done."),
    "minutes": say("Say how long it takes, in minutes."),
    "when": say("Say when it is done."),
    "skill": say("Say who does it."),
}
"""What other work needs, and what is said where it is missing."""


def _coverage(choice: PanelChoice) -> Facts:
    return {
        "panel": choice.panel,
        "method": choice.method.value,
        "edge": choice.edge.value,
        "badge": Badge(choice.badge).value,
        "seam": Seam(choice.seam).value,
        "note": choice.seam_at,
    }


def _film_can_be_laid(order: WorkOrder) -> None:
    if film_is_over(order.stage_now):
        raise Refused(
            say("The film work on this car is over. Book it for another day."),
            field="panel",
        )


@action("addition.answer")
def answer_addition(
    act: Act,
    *,
    workorder_pk: int,
    addition_pk: int,
    says: str,
    how: str,
    name: str = "",
    strokes: str = "",
) -> None:
    """Keep the customer's yes or no, once; a yes puts the work on the order.

    says     "yes" or "no"
    name     who signed, or was spoken with
    strokes  what was drawn, where it was signed
    """
    order = act.lock(WorkOrder, workorder_pk)
    check_how(order, how=how)
    if how not in ASKED or says not in ("yes", "no"):
        raise Refused(say("Say how the customer agreed."), field="how")
    row = _waiting(order, addition_pk)
    check_who(how=how, name=name)
    row.answered_how, row.answered_name = how, name.strip()
    if says == "no":
        _close(act, row, State.DECLINED)
        told = {"offered": str(said_of(row)), "how": how, "who": row.answered_name}
        act.event(order, "addition_declined", addition=row.pk, **told)
        return
    drawing = signature_of(strokes) if how == WorkOrder.Agreed.SIGNATURE else None
    _close(act, row, State.AGREED)
    kept = Agreement.objects.create(
        workorder=order,
        about=Agreement.About.ADDED,
        how=how,
        name=row.answered_name,
        signature=drawing,
        shown=_shown(row),
        by=act.tap.by,
        at=act.now,
    )
    act.event(
        order,
        "addition_agreed",
        agreement=kept,
        offered=str(said_of(row)),
        how=how,
        amount=row.asked,
        addition=row.pk,
    )
    put_on(act, order, row)


def _shown(row: Addition) -> Facts:
    return {
        "addition": row.pk,
        "offered": str(said_of(row)),
        "price": str(row.asked),
        "currency": the_shop().currency,
    }


@action("addition.take_back")
def take_back_addition(act: Act, *, workorder_pk: int, addition_pk: int) -> None:
    """Take an offer back before it is answered."""
    order = act.lock(WorkOrder, workorder_pk)
    row = _waiting(order, addition_pk)
    _close(act, row, State.TAKEN_BACK)
    act.event(order, "addition_taken_back", offered=str(said_of(row)), addition=row.pk)


def _waiting(order: WorkOrder, addition_pk: int) -> Addition:
    """An offer of this order that nobody has answered, or a refusal."""
    row = Addition.objects.filter(workorder=order, pk=addition_pk).first()
    if row is None:
        raise Refused(say("This offer is not on this order."))
    if row.state == State.TAKEN_BACK:
        raise Refused(say("This offer was taken back."))
    if row.state != State.OFFERED:
        raise Refused(say("This offer is answered already."))
    return row


def _close(act: Act, row: Addition, state: str) -> None:
    row.state = state
    row.answered_at, row.answered_by = act.now, act.tap.by
    row.save()


@action("addedwork.add", within=limits.WORK)
def add_work(
    act: Act,
    *,
    workorder_pk: int,
    name: str,
    minutes: int,
    when: str,
    skill: str,
    price: Decimal = Decimal(0),
) -> Json:
    """Add other work at once: what costs nothing, or was agreed when it was booked."""
    order = lock_open(act, workorder_pk)
    if price:
        refuse_invoiced(order)
        price = listed_on(order, price)
    row = AddedWork.objects.create(
        workorder=order,
        name=name.strip(),
        minutes=minutes,
        when=when,
        skill=skill,
        price=price,
    )
    if order.price is not None and price:
        order.price += with_tax(price, tax_pct=order.tax_pct)
        order.save(update_fields=["price"])
    act.event(order, "work_added", work=row, minutes=minutes, price=price)
    keep_air(order, at=act.now)
    ask_to_carry_on(act)
    return {"pk": row.pk}
