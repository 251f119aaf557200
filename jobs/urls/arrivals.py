"""Arrivals, below `arrivals/`."""

from __future__ import annotations

from django.urls import URLPattern, path

from jobs.bookings.arrival_actions import take_in_car
from jobs.bookings.arrival_forms import TakeInForm
from jobs.bookings.arrival_pages import arrival_detail, arrivals
from jobs.workorders.row_pages import booking
from shopapp.buttons import button
from shopapp.rows import page_of_made

take_in = button(
    take_in_car,
    page=arrival_detail,
    on=booking,
    form=TakeInForm,
    then=page_of_made("jobs:workorder_detail"),
)

urlpatterns: list[URLPattern] = [
    path("", arrivals, name="arrivals"),
    path("<int:pk>/", arrival_detail, name="arrival_detail"),
    path("<int:pk>/take-in/", take_in, name="arrival_take_in"),
]
