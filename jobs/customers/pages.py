"""Customers and their cars: found, looked at, put right."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_POST

from jobs.customers.forms import CustomerForm, VehicleForm, vehicle_initial
from jobs.customers.known_queries import twins_of, twins_of_car
from jobs.customers.queries import PAGE, bookings_of, found_customers, orders_of
from jobs.estimates.queries import estimates_of
from jobs.invoices.queries import open_sum_of
from jobs.models import Customer, Vehicle
from jobs.vin import VinCheck, check_vin, possible_years
from shopapp.access import allow
from shopapp.pressing import Bound, form_for


@require_GET
@allow("customer.view")
def customers(request: HttpRequest) -> HttpResponse:
    """Customers, by name, phone, plate or VIN."""
    query = request.GET.get("q", "")
    found = found_customers(query)
    context = {"query": query, "customers": found, "most": PAGE}
    return render(request, "jobs/customers/customers.html", context)


@require_GET
@allow("customer.view")
def customer_detail(
    request: HttpRequest, pk: int, *, bound: Bound | None = None
) -> HttpResponse:
    """One customer: how to reach them, their cars, their bookings."""
    customer = get_object_or_404(Customer, pk=pk)
    context = {
        "customer": customer,
        "bound": bound,
        "bookings": bookings_of(customer),
        "estimates": estimates_of(customer, now=timezone.now()),
        "twins": twins_of(customer),
        "is_open": open_sum_of(customer),
        "form": form_for(
            lambda: CustomerForm(initial=CustomerForm.initial_of(customer)),
            bound,
            "customer_change",
        ),
    }
    return render(request, "jobs/customers/customer_detail.html", context)


@require_GET
@allow("customer.view")
def vehicle_detail(
    request: HttpRequest, pk: int, *, bound: Bound | None = None
) -> HttpResponse:
    """One car: its facts and what was done to it."""
    vehicle = get_object_or_404(Vehicle.objects.select_related("customer"), pk=pk)
    context = {
        "vehicle": vehicle,
        "bound": bound,
        "orders": orders_of(vehicle),
        "twins": twins_of_car(vehicle),
        "form": form_for(
            lambda: VehicleForm(initial=vehicle_initial(vehicle)),
            bound,
            "vehicle_change",
        ),
    }
    return render(request, "jobs/customers/vehicle_detail.html", context)


@require_POST
@allow("booking.make")
def vin_check(request: HttpRequest) -> HttpResponse:
    """What a VIN is worth, while it is typed. In the body: it is personal data."""
    typed = request.POST.get("vin", "")[:60]
    check = check_vin(typed) if typed.strip() else VinCheck(vin="")
    years = possible_years(check, this_year=timezone.localdate().year)
    context = {"check": check, "years": years}
    return render(request, "jobs/customers/_vin_check.html", context)
