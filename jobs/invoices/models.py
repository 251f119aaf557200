"""Invoices and credit notes: written once, never changed, never deleted."""

from __future__ import annotations

from typing import Any, NoReturn

from django.db import models
from django.db.models import Q

from jobs.workorders.models import WorkOrder
from mixing.models import Immutable
from shopapp.models import Person


class Invoice(Immutable):
    """What a customer is asked to pay for an order, as it stood on that day.

    A wrong one is reversed by a credit note: a row of its own with the amounts below
    nothing.
    """

    class Kind(models.TextChoices):
        INVOICE = "invoice", "invoice"
        CREDIT_NOTE = "credit_note", "credit note"

    number = models.CharField(max_length=16, unique=True)
    kind = models.CharField(max_length=12, choices=Kind.choices)
    workorder = models.ForeignKey(
        WorkOrder, on_delete=models.PROTECT, related_name="invoices"
    )
    reverses = models.OneToOneField(
        "self", on_delete=models.PROTECT, null=True, related_name="reversed_by"
    )
    because = models.CharField(max_length=160, blank=True)
    customer_name = models.CharField(max_length=120)
    customer_address = models.TextField(blank=True)
    order_number = models.CharField(max_length=40, blank=True)
    vehicle = models.CharField(max_length=160)
    tax_name = models.CharField(max_length=30)
    tax_pct = models.DecimalField(max_digits=6, decimal_places=3)
    is_tax_on_top = models.BooleanField()
    untaxed_because = models.CharField(max_length=120, blank=True)
    currency = models.CharField(max_length=3)
    total = models.DecimalField(max_digits=10, decimal_places=2)
    tax = models.DecimalField(max_digits=10, decimal_places=2)
    paid = models.DecimalField(max_digits=10, decimal_places=2)
    due_on = models.DateField()
    by = models.ForeignKey(Person, on_delete=models.PROTECT, null=True)
    at = models.DateTimeField()

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(kind="invoice", reverses__isnull=True)
                | Q(kind="credit_note", reverses__isnull=False),
                name="invoice_or_what_reverses_one",
            )
        ]
        indexes = [models.Index(fields=["at"], name="invoice_at")]

    def __str__(self) -> str:
        return self.number

    def delete(self, *args: Any, **kwargs: Any) -> NoReturn:
        """Refuse."""
        raise RuntimeError("an invoice is reversed, never deleted")

    @property
    def is_reversed(self) -> bool:
        """Whether a credit note took it back."""
        return hasattr(self, "reversed_by")

    @property
    def due(self) -> Any:
        """What was still to be paid on its day."""
        return max(self.total - self.paid, 0)


class InvoiceLine(Immutable):
    """One line of an invoice."""

    invoice = models.ForeignKey(Invoice, on_delete=models.PROTECT, related_name="lines")
    kind = models.CharField(max_length=10)
    name = models.CharField(max_length=200)
    amount = models.DecimalField(max_digits=10, decimal_places=2)

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return self.name
