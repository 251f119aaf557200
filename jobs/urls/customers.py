"""Customers and their cars."""

from __future__ import annotations

from django.urls import URLPattern, path

from jobs.customers import pages as customers
from jobs.customers.actions import change_customer, change_vehicle
from jobs.customers.forms import CustomerForm, TwinForm, VehicleForm
from jobs.customers.merge_actions import merge_customers, merge_vehicles
from jobs.workorders.row_pages import customer, vehicle
from shopapp.buttons import button

keep_customer = button(
    change_customer, page=customers.customer_detail, on=customer, form=CustomerForm
)
keep_vehicle = button(
    change_vehicle, page=customers.vehicle_detail, on=vehicle, form=VehicleForm
)
join_customers = button(
    merge_customers, page=customers.customer_detail, on=customer, form=TwinForm
)
join_vehicles = button(
    merge_vehicles, page=customers.vehicle_detail, on=vehicle, form=TwinForm
)

urlpatterns: list[URLPattern] = [
    path("customers/", customers.customers, name="customers"),
    path("customers/<int:pk>/", customers.customer_detail, name="customer_detail"),
    path("customers/<int:pk>/change/", keep_customer, name="customer_change"),
    path("customers/<int:pk>/merge/", join_customers, name="customer_merge"),
    path("vehicles/<int:pk>/merge/", join_vehicles, name="vehicle_merge"),
    path("vehicles/<int:pk>/", customers.vehicle_detail, name="vehicle_detail"),
    path("vehicles/<int:pk>/change/", keep_vehicle, name="vehicle_change"),
    path("vehicles/vin/", customers.vin_check, name="vin_check"),
]
