"""Hand-over: cars that may leave, money, the customer's link, giving the car back."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_GET

from jobs.handover.forms import GiveForm, RecheckForm
from jobs.handover.queries import (
    leaving_cars,
    ready_at,
    ready_since,
    recheck_from,
    way_out,
)
from jobs.handover.recheck_queries import open_rechecks
from jobs.invoices.queries import standing_invoice
from jobs.models import Recheck
from jobs.money.forms import PaymentForm, ReverseForm
from jobs.money.pages import price_shown
from jobs.money.queries import money_of
from jobs.opening.queries import said_closed
from jobs.promises.pages import calls_shown
from jobs.promises.queries import clock, outlook_of
from jobs.public.section_pages import customer_section
from jobs.stages.queries import read_together
from jobs.workorders.queries import order_head
from shopapp.access import allow
from shopapp.pressing import Bound, form_for


@require_GET
@allow("handover.view")
def handovers(request: HttpRequest) -> HttpResponse:
    """Cars ready or nearly, and cars that come back."""
    now = timezone.now()
    context = {
        "cars": leaving_cars(now=now),
        "now": now,
        "rechecks": open_rechecks(now=now),
        **calls_shown(None, now=now),
    }
    return render(request, "jobs/handover/handovers.html", context)


@require_GET
@allow("handover.view")
def handover_detail(
    request: HttpRequest, pk: int, *, bound: Bound | None = None
) -> HttpResponse:
    """One car: what is owed, what the rules say, who agreed."""
    order = get_object_or_404(order_head(), pk=pk)
    read_together([order])
    now = timezone.now()
    context: dict[str, Any] = {
        "order": order,
        "tab": "handover",
        "bound": bound,
        "money": money_of(order),
        "way": way_out(order, now=now),
        "ready_at": ready_at(order),
        "outlook": outlook_of(order, clock=clock(now=now)),
        "ready_since": ready_since(order, now=now),
        "look": order.final_looks.filter(round=order.round).last(),
        "recheck_closed": said_closed("recheck", order.recheck_at),
        "now": now,
        **customer_section(order, bound),
        **_forms(order, bound),
    }
    return render(request, "jobs/handover/handover_detail.html", context)


def after_recheck(request: HttpRequest, pk: int) -> str:
    """Where film is wanted the car comes back: there one goes on."""
    is_wrong = request.POST.get("outcome") == Recheck.Outcome.REDO
    return reverse(
        "jobs:return_new" if is_wrong else "jobs:workorder_detail", args=[pk]
    )


def _forms(order: Any, bound: Bound | None) -> dict[str, Any]:
    def give() -> GiveForm:
        back = timezone.localtime(recheck_from(order, at=timezone.now()))
        usual = "account" if order.customer.is_account else ""
        return GiveForm(initial={"recheck_at": back, "how": usual})

    def pay() -> PaymentForm:
        return PaymentForm(initial={"amount": money_of(order).owed or None})

    def back() -> RecheckForm:
        at = order.recheck_at and timezone.localtime(order.recheck_at)
        return RecheckForm(initial={"at": at})

    return {
        "give_form": form_for(give, bound, "handover_give"),
        "pay_form": form_for(pay, bound, "payment_record"),
        **price_shown(order, bound, url_name="discount_give"),
        "invoices": order.invoices.select_related("reverses", "reversed_by"),
        "is_invoiced": standing_invoice(order) is not None,
        "payments": [
            (row, form_for(ReverseForm, bound, "payment_reverse", payment_pk=row.pk))
            for row in order.payments.select_related(
                "by", "reversed_by", "reverses", "receipt"
            )
        ],
        "recheck_form": form_for(back, bound, "recheck_book"),
    }
