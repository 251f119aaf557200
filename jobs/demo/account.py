"""The account customer of the demo shop: address, invoices, one payment for several."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime, timedelta
from typing import Any

from jobs.customers.actions import change_customer
from jobs.invoices.account_actions import pay_account
from jobs.invoices.actions import make_invoice
from jobs.invoices.queries import open_invoices
from jobs.models import Customer, WorkOrder
from shopapp.frame import Tap, perform
from shopapp.models import HistoryEntry, Person

ADDRESS = "4400 Example Parkway\nAnytown"


def keep_accounts(*, by: Person, now: datetime) -> None:
    """Invoice what account customers have had; the older ones are paid at once."""
    orders = WorkOrder.objects.filter(on_account=True, handed_over_at__isnull=False)
    accounts = Customer.objects.filter(workorders__in=orders).distinct().order_by("pk")
    for customer in accounts:
        _has_an_address(customer, by=by, at=now - timedelta(days=30))
    for order in orders.order_by("pk"):
        assert order.handed_over_at is not None
        at = min(order.handed_over_at + timedelta(minutes=20), now)
        _press(by, at, make_invoice, workorder_pk=order.pk)
    for customer in accounts:
        _pays_the_older(customer, by=by, at=now - timedelta(days=1))


def _has_an_address(customer: Customer, *, by: Person, at: datetime) -> None:
    kept = ("name", "phone", "email", "is_account", "notes")
    known = {name: getattr(customer, name) for name in kept}
    _press(by, at, change_customer, customer_pk=customer.pk, address=ADDRESS, **known)


def _pays_the_older(customer: Customer, *, by: Person, at: datetime) -> None:
    """One payment for all invoices but the newest."""
    older = open_invoices(customer)[:-1]
    if older:
        _press(
            by,
            at,
            pay_account,
            customer_pk=customer.pk,
            amount=sum(each.owed for each in older),
            how="transfer",
            invoices=[each.invoice.pk for each in older],
        )


def _press(by: Person, at: datetime, do: Callable[..., Any], **facts: Any) -> None:
    about = next(iter(facts.items()))
    key = f"demo-{do.__name__}-{about[0]}-{about[1]}"
    perform(Tap.made_by(by, at=at, via=HistoryEntry.Via.DEMO, key=key), do, **facts)
