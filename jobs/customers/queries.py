"""Customers and their cars: found by any name or number of theirs."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from django.db.models import Prefetch, QuerySet

from jobs.models import Booking, Customer, SearchKey, Vehicle, WorkOrder
from jobs.search.queries import each_way, in_any, rows_with
from jobs.search.spelling import asked_for

PAGE = 50
Of = SearchKey.Of


def found_customers(query: str, *, most: int = PAGE) -> QuerySet[Customer]:
    """Customers who fit in any spelling: by themselves, their cars, their papers.

    Nothing asked for: all of them, by name.
    """
    asked = asked_for(query)
    found = Customer.objects.all()
    if query.strip():
        wanted = each_way(Customer.objects.values("pk"), asked, _owners)
        found = found.filter(pk__in=wanted) if asked.is_enough else found.none()
    cars = Prefetch("vehicles", queryset=Vehicle.objects.order_by("-pk"))
    return found.prefetch_related(cars)[:most]


def _owners(begun: Iterable[str]) -> QuerySet[Any]:
    return in_any([part for each in begun for part in _having(each)])


def _having(beginning: str) -> Iterable[QuerySet[Any]]:
    yield rows_with(Of.CUSTOMER, beginning)
    owned: tuple[tuple[type[Vehicle | Booking | WorkOrder], SearchKey.Of], ...] = (
        (Vehicle, Of.VEHICLE),
        (Booking, Of.BOOKING),
        (WorkOrder, Of.ORDER),
    )
    for model, of in owned:
        rows = model._default_manager.filter(pk__in=rows_with(of, beginning))
        yield rows.order_by().values("customer")


def bookings_of(customer: Customer) -> QuerySet[Booking]:
    """Every booking of a customer, newest first."""
    return (
        Booking.objects.filter(customer=customer)
        .select_related("vehicle", "film", "workorder")
        .order_by("-arrives_at")[:PAGE]
    )


def orders_of(vehicle: Vehicle) -> QuerySet[WorkOrder]:
    """Every work order of a car, newest first."""
    return (
        WorkOrder.objects.filter(vehicle=vehicle)
        .select_related("film", "booking")
        .order_by("-pk")[:PAGE]
    )
