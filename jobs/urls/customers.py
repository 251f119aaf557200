"""Customers and their cars."""

from __future__ import annotations

from django.urls import URLPattern, path

from jobs.customers import pages as customers
from jobs.customers.actions import change_customer, change_vehicle
from jobs.customers.forms import CustomerForm, VehicleForm
from jobs.workorders.row_pages import customer, vehicle
from shopapp.buttons import button

keep_customer = button(
    change_customer, page=customers.customer_detail, on=customer, form=CustomerForm
)
keep_vehicle = button(
    change_vehicle, page=customers.vehicle_detail, on=vehicle, form=VehicleForm
)

urlpatterns: list[URLPattern] = [
    path("customers/", customers.customers, name="customers"),
    path("customers/<int:pk>/", customers.customer_detail, name="customer_detail"),
    path("customers/<int:pk>/change/", keep_customer, name="customer_change"),
    path("vehicles/<int:pk>/", customers.vehicle_detail, name="vehicle_detail"),
    path("vehicles/<int:pk>/change/", keep_vehicle, name="vehicle_change"),
    path("vehicles/vin/", customers.vin_check, name="vin_check"),
]
