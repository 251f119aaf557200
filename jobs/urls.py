"""Addresses of the car's path: nouns, then a verb for a POST."""

from __future__ import annotations

from django.urls import URLPattern, URLResolver, path

from jobs.views import (
    arrivals,
    board,
    bookings,
    customer_page,
    customers,
    handover,
    history,
    my_work,
    prices,
    workorders,
)

app_name = "jobs"
urlpatterns: list[URLPattern | URLResolver] = [
    # the floor
    path("floor/", board.floor, name="floor"),
    path("floor/wall/", board.wall, name="wall"),
    path("work/", my_work.my_work, name="my_work"),
    # the order
    path("workorders/<int:pk>/", workorders.workorder_detail, name="workorder_detail"),
    path(
        "workorders/<int:pk>/advance/",
        workorders.workorder_advance,
        name="workorder_advance",
    ),
    path(
        "workorders/<int:pk>/pause/", workorders.workorder_pause, name="workorder_pause"
    ),
    path(
        "workorders/<int:pk>/resume/",
        workorders.workorder_resume,
        name="workorder_resume",
    ),
    path(
        "workorders/<int:pk>/place/", workorders.workorder_place, name="workorder_place"
    ),
    path("workorders/<int:pk>/crew/", workorders.workorder_crew, name="workorder_crew"),
    path(
        "workorders/<int:pk>/history/",
        history.workorder_history,
        name="workorder_history",
    ),
    # the front desk
    path("bookings/", bookings.bookings, name="bookings"),
    path("bookings/new/", bookings.booking_new, name="booking_new"),
    path("bookings/look/", bookings.booking_look, name="booking_look"),
    path("bookings/make/", bookings.booking_make, name="booking_make"),
    path("bookings/<int:pk>/", bookings.booking_detail, name="booking_detail"),
    path("bookings/<int:pk>/look/", bookings.booking_look, name="booking_look"),
    path("bookings/<int:pk>/edit/", bookings.booking_edit, name="booking_edit"),
    path("bookings/<int:pk>/change/", bookings.booking_change, name="booking_change"),
    path("bookings/<int:pk>/cancel/", bookings.booking_cancel, name="booking_cancel"),
    path("arrivals/", arrivals.arrivals, name="arrivals"),
    path("arrivals/<int:pk>/", arrivals.arrival_detail, name="arrival_detail"),
    path(
        "arrivals/<int:pk>/take-in/", arrivals.arrival_take_in, name="arrival_take_in"
    ),
    path("customers/", customers.customers, name="customers"),
    path("customers/<int:pk>/", customers.customer_detail, name="customer_detail"),
    path(
        "customers/<int:pk>/change/", customers.customer_change, name="customer_change"
    ),
    path("vehicles/<int:pk>/", customers.vehicle_detail, name="vehicle_detail"),
    path("vehicles/<int:pk>/change/", customers.vehicle_change, name="vehicle_change"),
    path("vehicles/vin/", customers.vin_check, name="vin_check"),
    path("handovers/", handover.handovers, name="handovers"),
    path(
        "workorders/<int:pk>/handover/",
        handover.handover_detail,
        name="handover_detail",
    ),
    path(
        "workorders/<int:pk>/handover/give/",
        handover.handover_give,
        name="handover_give",
    ),
    path(
        "workorders/<int:pk>/payments/record/",
        handover.payment_record,
        name="payment_record",
    ),
    path("workorders/<int:pk>/links/make/", handover.link_make, name="link_make"),
    path(
        "workorders/<int:pk>/links/<int:link_pk>/revoke/",
        handover.link_revoke,
        name="link_revoke",
    ),
    path(
        "workorders/<int:pk>/recheck/book/", handover.recheck_book, name="recheck_book"
    ),
    path("prices/", prices.prices, name="prices"),
    path("prices/change/", prices.prices_change, name="prices_change"),
    # the customer's secret address
    path("c/<str:token>/", customer_page.customer_page, name="customer_page"),
    path("c/<str:token>/agree/", customer_page.customer_agree, name="customer_agree"),
    path(
        "c/<str:token>/approve/",
        customer_page.customer_approve,
        name="customer_approve",
    ),
    path(
        "c/<str:token>/recheck/",
        customer_page.customer_recheck,
        name="customer_recheck",
    ),
    path(
        "c/<str:token>/calendar/<slug:what>.ics",
        customer_page.customer_calendar,
        name="customer_calendar",
    ),
    path(
        "c/<str:token>/papers/<int:pk>/",
        customer_page.customer_paper,
        name="customer_paper",
    ),
    path(
        "c/<str:token>/photos/<int:pk>/",
        customer_page.customer_photo,
        name="customer_photo",
    ),
]
