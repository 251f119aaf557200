"""The rows that an address names, as facts of the action; 404 where there is none."""

from __future__ import annotations

from typing import Any

from django.db.models import Q
from django.http import Http404
from django.shortcuts import get_object_or_404

from jobs.models import (
    Booking,
    Customer,
    CustomerEstimate,
    Discount,
    Film,
    FilmOrder,
    Invoice,
    OffCut,
    OrderChecklist,
    OrderPanel,
    Payment,
    Roll,
    Vehicle,
    WorkOrder,
)
from jobs.papers.kind_facts import LABELLED
from mixing.models import Kind, StockContainer
from shopapp.rows import by_pk

Facts = dict[str, Any]

order = by_pk(WorkOrder, "workorder_pk")
booking = by_pk(Booking, "booking_pk")
estimate = by_pk(CustomerEstimate, "estimate_pk")
customer = by_pk(Customer, "customer_pk")
vehicle = by_pk(Vehicle, "vehicle_pk")
film = by_pk(Film, "film_pk")
roll = by_pk(Roll, "roll_pk")
offcut = by_pk(OffCut, "offcut_pk")
invoice = by_pk(Invoice, "invoice_pk")


def panel_of_order(pk: int, panel_pk: int) -> Facts:
    """A panel of this order, by its code."""
    row = get_object_or_404(OrderPanel, pk=panel_pk, workorder=pk)
    return {"workorder_pk": pk, "panel": row.panel}


def known_kind(kind: str) -> str:
    """A kind of solution."""
    if kind not in Kind.values:
        raise Http404
    return kind


def solution_of_order(pk: int, kind: str) -> Facts:
    """A kind of solution, for this order."""
    return {**order(pk), "kind": known_kind(kind)}


def container_for_order(pk: int, kind: str, code: str) -> Facts:
    """A container on the shelf, opened for a solution of this order."""
    solution_of_order(pk, kind)
    row = get_object_or_404(StockContainer, code__iexact=code)
    return {"container_pk": row.pk}


def shop_by_order(pk: int) -> Facts:
    """Of the shop, said on the page of this order."""
    order(pk)
    return {}


def list_of_order(pk: int, list_pk: int) -> Facts:
    """A checklist of this order."""
    get_object_or_404(OrderChecklist, pk=list_pk, workorder=pk)
    return {"workorder_pk": pk, "order_checklist_pk": list_pk}


def payment_of_order(pk: int, payment_pk: int) -> Facts:
    """A payment of this order."""
    get_object_or_404(Payment, pk=payment_pk, workorder=pk)
    return {"workorder_pk": pk, "payment_pk": payment_pk}


def discount_of_order(pk: int, discount_pk: int) -> Facts:
    """A discount on this order."""
    get_object_or_404(Discount, pk=discount_pk, workorder=pk)
    return {"workorder_pk": pk, "discount_pk": discount_pk}


def discount_of_booking(pk: int, discount_pk: int) -> Facts:
    """A discount on this booking."""
    get_object_or_404(Discount, pk=discount_pk, booking=pk)
    return {"booking_pk": pk, "discount_pk": discount_pk}


def receipt_of_customer(pk: int, receipt_pk: int) -> Facts:
    """A receipt of this customer's orders."""
    mine = Payment.objects.filter(receipt=receipt_pk, workorder__customer=pk)
    if not mine.exists():
        raise Http404
    return {"customer_pk": pk, "receipt_pk": receipt_pk}


def paid_by_customer(pk: int, receipt_pk: int) -> Facts:
    """A receipt of this customer, for an order or a booking."""
    mine = Q(workorder__customer=pk) | Q(booking__customer=pk)
    if not Payment.objects.filter(mine, receipt=receipt_pk).exists():
        raise Http404
    return {"receipt_pk": receipt_pk}


def deposit_of_booking(pk: int, payment_pk: int) -> Facts:
    """A deposit for this booking."""
    get_object_or_404(Payment, pk=payment_pk, booking=pk)
    return {"booking_pk": pk, "payment_pk": payment_pk}


def order_of_film(pk: int, order_pk: int) -> Facts:
    """What was ordered of this film."""
    get_object_or_404(FilmOrder, pk=order_pk, film=pk)
    return {"order_pk": order_pk}


def labelled(what: str, pk: int) -> Facts:
    """What has labels; whether it is there, the action looks."""
    if what not in LABELLED:
        raise Http404
    return {"subject": f"{what} {pk}"}
