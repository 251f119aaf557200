"""Customers and their cars."""

from __future__ import annotations

from django.urls import URLPattern, path

from jobs.customers import pages as customers
from jobs.customers.actions import change_customer, change_vehicle
from jobs.customers.forms import CustomerForm, TwinForm, VehicleForm
from jobs.customers.merge_actions import merge_customers, merge_vehicles
from jobs.dealers import pages as dealers
from jobs.dealers.actions import book_cars
from jobs.workorders.row_pages import customer, vehicle
from shopapp.buttons import button
from shopapp.rows import page_of_made

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

book_list = button(
    book_cars,
    page=dealers.car_list,
    on=customer,
    form=dealers.list_form,
    then=page_of_made("jobs:customer_detail"),
    told=dealers.booked_said,
)

urlpatterns: list[URLPattern] = [
    path("customers/", customers.customers, name="customers"),
    path("customers/<int:pk>/", customers.customer_detail, name="customer_detail"),
    path("customers/<int:pk>/change/", keep_customer, name="customer_change"),
    path("customers/<int:pk>/merge/", join_customers, name="customer_merge"),
    path("customers/<int:pk>/cars/", dealers.car_list, name="car_list"),
    path("customers/<int:pk>/cars/look/", dealers.car_list_look, name="car_list_look"),
    path("customers/<int:pk>/cars/book/", book_list, name="car_list_book"),
    path("vehicles/<int:pk>/merge/", join_vehicles, name="vehicle_merge"),
    path("vehicles/<int:pk>/", customers.vehicle_detail, name="vehicle_detail"),
    path("vehicles/<int:pk>/change/", keep_vehicle, name="vehicle_change"),
    path("vehicles/vin/", customers.vin_check, name="vin_check"),
]
