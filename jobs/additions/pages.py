"""Selling more for a car that is in: what can be offered, what was answered."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.utils import timezone
from django.views.decorators.http import require_GET

from jobs.additions.forms import (
    AnswerForm,
    EdgeOfferForm,
    FreeWorkForm,
    PanelOfferForm,
    WorkOfferForm,
)
from jobs.additions.queries import (
    Offer,
    edges_to_offer,
    menu,
    offers_of,
    said_of,
)
from jobs.checks.forms import SignedForm
from jobs.models import Addition, WorkOrder
from jobs.promises.queries import clock, outlook_of
from jobs.workorders.queries import order_head
from shopapp.access import allow, may
from shopapp.pressing import Bound, form_for

Facts = dict[str, Any]


@require_GET
@allow("addition.view")
def additions(
    request: HttpRequest, pk: int, *, bound: Bound | None = None
) -> HttpResponse:
    """What more can be done for this car, and what was said to it."""
    order = get_object_or_404(order_head(), pk=pk)
    now = timezone.now()
    context = {
        "order": order,
        "bound": bound,
        "offers": [
            (offer, _answer_form(offer, bound)) for offer in offers_of(order, now=now)
        ],
        "outlook": outlook_of(order, clock=clock(now=now)),
        "menu": menu(),
        "has_edges": bool(edges_to_offer(order)),
        **_forms(request, order, bound),
    }
    return render(request, "jobs/additions/additions.html", context)


def _answer_form(offer: Offer, bound: Bound | None) -> AnswerForm | None:
    if not offer.is_open:
        return None
    # Mostly it is the customer who is spoken with; whoever it was is typed over it.
    known = {"name": offer.row.workorder.customer.name}
    return form_for(
        lambda: AnswerForm(initial=known),
        bound,
        "addition_answer",
        addition_pk=offer.row.pk,
    )


def _forms(request: HttpRequest, order: WorkOrder, bound: Bound | None) -> Facts:
    if order.is_closed:
        return {}
    asked = {"order": order, "with_price": may(request.user, "price.view")}
    return {
        "panel_form": form_for(
            lambda: PanelOfferForm(**asked), bound, "addition_panel"
        ),
        "edge_form": form_for(lambda: EdgeOfferForm(**asked), bound, "addition_edge"),
        "work_form": form_for(lambda: WorkOfferForm(**asked), bound, "addition_work"),
        "free_form": form_for(FreeWorkForm, bound, "addedwork_add"),
    }


def _typed(kind: Any) -> Any:
    """A maker of an offer's form as it was typed."""

    def form(request: HttpRequest, pk: int) -> Any:
        order = get_object_or_404(order_head(), pk=pk)
        sees = may(request.user, "price.view")
        return kind(request.POST, order=order, with_price=sees)

    return form


panel_form = _typed(PanelOfferForm)
edge_form = _typed(EdgeOfferForm)
work_form = _typed(WorkOfferForm)


def addition_of_order(pk: int, addition_pk: int) -> Facts:
    """An offer of this order."""
    get_object_or_404(Addition, pk=addition_pk, workorder=pk)
    return {"workorder_pk": pk, "addition_pk": addition_pk}


@require_GET
@allow("addition.answer")
def addition_sign(
    request: HttpRequest, pk: int, addition_pk: int, *, bound: Bound | None = None
) -> HttpResponse:
    """What the customer signs for, and the field to sign in."""
    order = get_object_or_404(order_head(), pk=pk)
    row = get_object_or_404(Addition, pk=addition_pk, workorder=order)
    context = {
        "order": order,
        "bound": bound,
        "row": row,
        "said": said_of(row),
        "form": form_for(SignedForm, bound, "addition_signed"),
    }
    return render(request, "jobs/additions/addition_sign.html", context)
