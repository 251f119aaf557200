"""Invoices, receipts and accounts."""

from __future__ import annotations

from typing import Any

from django.shortcuts import get_object_or_404
from django.urls import URLPattern, path

from jobs.handover.pages import handover_detail
from jobs.invoices.account_actions import pay_account, reverse_receipt
from jobs.invoices.actions import (
    make_invoice,
    print_invoice,
    print_receipt,
    print_statement,
    reverse_invoice,
)
from jobs.invoices.forms import CreditForm, SizeForm, StatementForm
from jobs.invoices.pages import account_form, customer_account, invoice_detail
from jobs.models import Invoice
from jobs.money.forms import ReverseForm
from jobs.workorders.row_pages import (
    customer,
    invoice,
    order,
    paid_by_customer,
    receipt_of_customer,
)
from shopapp.buttons import button
from shopapp.rows import page_of_made

to_invoice = page_of_made("jobs:invoice_detail")
to_paper = page_of_made("jobs:paper_detail")


def order_of_invoice(pk: int) -> dict[str, Any]:
    """The order that an invoice is of."""
    return {"workorder_pk": get_object_or_404(Invoice, pk=pk).workorder_id}


ACCOUNT = "customers/<int:pk>/account"
ORDER = "workorders/<int:pk>"

urlpatterns: list[URLPattern] = [
    path(
        f"{ORDER}/invoice/make/",
        button(make_invoice, page=handover_detail, on=order, then=to_invoice),
        name="invoice_make",
    ),
    path(
        f"{ACCOUNT}/receipts/<int:receipt_pk>/print/",
        button(
            print_receipt,
            page=customer_account,
            on=paid_by_customer,
            form=SizeForm,
            then=to_paper,
        ),
        name="receipt_print",
    ),
    path("invoices/<int:pk>/", invoice_detail, name="invoice_detail"),
    path(
        "invoices/<int:pk>/reverse/",
        button(
            reverse_invoice,
            page=invoice_detail,
            on=order_of_invoice,
            form=CreditForm,
            then=to_invoice,
        ),
        name="invoice_reverse",
    ),
    path(
        "invoices/<int:pk>/print/",
        button(
            print_invoice, page=invoice_detail, on=invoice, form=SizeForm, then=to_paper
        ),
        name="invoice_print",
    ),
    path(f"{ACCOUNT}/", customer_account, name="customer_account"),
    path(
        f"{ACCOUNT}/pay/",
        button(pay_account, page=customer_account, on=customer, form=account_form),
        name="account_pay",
    ),
    path(
        f"{ACCOUNT}/receipts/<int:receipt_pk>/reverse/",
        button(
            reverse_receipt,
            page=customer_account,
            on=receipt_of_customer,
            form=ReverseForm,
        ),
        name="receipt_reverse",
    ),
    path(
        f"{ACCOUNT}/statement/",
        button(
            print_statement,
            page=customer_account,
            on=customer,
            form=StatementForm,
            then=to_paper,
        ),
        name="statement_print",
    ),
]
