"""Customers and their cars: found by name, phone, plate or VIN."""

from __future__ import annotations

from django.db.models import Prefetch, Q, QuerySet

from jobs.models import Booking, Customer, Vehicle, WorkOrder

PAGE = 50


def found_customers(query: str, *, most: int = PAGE) -> QuerySet[Customer]:
    """Customers whose name, phone, e-mail or car holds every word asked for."""
    wanted = Q()
    for word in query.split()[:6]:
        car = Vehicle.objects.filter(
            Q(plate__icontains=word)
            | Q(vin__icontains=word)
            | Q(make__icontains=word)
            | Q(model__icontains=word)
        )
        wanted &= (
            Q(name__icontains=word)
            | Q(phone__icontains=word)
            | Q(email__icontains=word)
            | Q(pk__in=car.values("customer"))
        )
    cars = Prefetch("vehicles", queryset=Vehicle.objects.order_by("-pk"))
    return Customer.objects.filter(wanted).prefetch_related(cars)[:most]


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
