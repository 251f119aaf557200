"""A customer's account, and one invoice."""

from __future__ import annotations

from datetime import date, timedelta
from decimal import Decimal
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.utils import timezone
from django.views.decorators.http import require_GET

from jobs.invoices.forms import (
    AccountPaymentForm,
    CreditForm,
    SizeForm,
    StatementForm,
)
from jobs.invoices.queries import entries_of, open_invoices, payments_of, to_invoice
from jobs.invoices.statement import open_sum, statement
from jobs.models import Customer, Invoice
from jobs.money.forms import ReverseForm
from jobs.money.queries import paid_for
from shopapp.access import allow
from shopapp.models import the_shop
from shopapp.pressing import Bound, form_for

SHOWN_DAYS = 365


@require_GET
@allow("account.view")
def customer_account(
    request: HttpRequest, pk: int, *, bound: Bound | None = None
) -> HttpResponse:
    """What a customer owes, by which invoices, and what was paid."""
    customer = get_object_or_404(Customer, pk=pk)
    entries, found = entries_of(customer), open_invoices(customer)
    today = timezone.localdate(timezone=the_shop().zone)
    last_year = today - timedelta(days=SHOWN_DAYS)
    context = {
        "customer": customer,
        "bound": bound,
        "is_open": open_sum(entries),
        "open_invoices": found,
        "to_invoice": to_invoice(customer),
        "told": statement(entries, since=last_year, until=today),
        "today": today,
        "receipts": _receipts(customer, bound),
        "pay_form": form_for(
            lambda: AccountPaymentForm(
                customer=customer,
                initial={
                    "amount": sum(each.owed for each in found) or None,
                    "how": "transfer",
                    "invoices": [each.invoice.pk for each in found],
                },
            ),
            bound,
            "account_pay",
        ),
        "statement_form": form_for(
            lambda: StatementForm(initial=month_of(today)), bound, "statement_print"
        ),
    }
    return render(request, "jobs/invoices/customer_account.html", context)


def month_of(day: date) -> dict[str, date]:
    """From the first of the month to this day; on the first days, the month before."""
    if day.day <= 5:
        day = day.replace(day=1) - timedelta(days=1)
    return {"since": day.replace(day=1), "until": day}


def account_form(request: HttpRequest, pk: int) -> AccountPaymentForm:
    """The payment as it was typed."""
    customer = get_object_or_404(Customer, pk=pk)
    return AccountPaymentForm(request.POST, customer=customer)


def _receipts(customer: Customer, bound: Bound | None) -> list[dict[str, Any]]:
    """What came in and went back, newest first, one line a receipt."""
    rows = payments_of(customer).select_related(
        "receipt", "workorder", "by", "reverses__receipt", "reversed_by"
    )
    found: dict[int, dict[str, Any]] = {}
    for row in rows.order_by("-pk"):
        known = found.setdefault(
            row.receipt_id or 0,
            {"receipt": row.receipt, "first": row, "amount": 0, "orders": []},
        )
        known["amount"] += row.amount
        known["orders"] += [row.workorder.number] if row.workorder else []
    for each in found.values():
        row = each["first"]
        each["may_reverse"] = not row.reverses_id and not row.is_reversed
        each["may_reverse"] &= row.workorder_id is not None
        each["form"] = form_for(
            ReverseForm, bound, "receipt_reverse", receipt_pk=row.receipt_id
        )
    return list(found.values())


@require_GET
@allow("account.view")
def invoice_detail(
    request: HttpRequest, pk: int, *, bound: Bound | None = None
) -> HttpResponse:
    """One invoice or credit note as it is kept: printed again, or reversed."""
    row = get_object_or_404(
        Invoice.objects.select_related(
            "workorder__customer", "reverses", "reversed_by", "by"
        ),
        pk=pk,
    )
    order = row.workorder
    since = order.payments.filter(at__gt=row.at).select_related("receipt", "reverses")
    context = {
        "invoice": row,
        "since": since,
        "owed": max(Decimal(0), row.total - paid_for(order)),
        "order": row.workorder,
        "lines": row.lines.all(),
        "bound": bound,
        "credit_form": form_for(CreditForm, bound, "invoice_reverse"),
        "print_form": form_for(SizeForm, bound, "invoice_print"),
        "sizes": sorted(
            ("A4", "Letter"), key=lambda size: size != the_shop().paper_size
        ),
    }
    return render(request, "jobs/invoices/invoice_detail.html", context)
