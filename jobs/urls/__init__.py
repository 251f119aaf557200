"""Addresses of the car's path: nouns, then a verb for a POST."""

from __future__ import annotations

from django.urls import URLPattern, URLResolver, include, path

from jobs.actions.laying import change_laying
from jobs.forms.laying import LayingForm
from jobs.urls import film as film_urls
from jobs.urls import order as order_urls
from jobs.views import (
    arrivals,
    board,
    booking_money,
    bookings,
    cure,
    customer_page,
    customers,
    handover,
    laying,
    my_work,
    papers,
    prices,
    promises,
    rules,
    safety,
)
from shopapp.buttons import button
from shopapp.say import say

app_name = "jobs"
urlpatterns: list[URLPattern | URLResolver] = [
    # the floor
    path("floor/", board.floor, name="floor"),
    path("floor/wall/", board.wall, name="wall"),
    path("work/", my_work.my_work, name="my_work"),
    # papers and safety notes
    path("papers/<int:pk>/", papers.paper_detail, name="paper_detail"),
    path("papers/<int:pk>/state/", papers.paper_state, name="paper_state"),
    path("labels/<slug:what>/<int:pk>/", papers.label_new, name="label_new"),
    path("labels/<slug:what>/<int:pk>/issue/", papers.label_issue, name="label_issue"),
    path("safety/", safety.safety, name="safety"),
    path("safety/register/", safety.safety_register, name="safety_register"),
    path("safety/register/issue/", safety.register_issue, name="register_issue"),
    # the front desk
    path("bookings/", bookings.bookings, name="bookings"),
    path("bookings/new/", bookings.booking_new, name="booking_new"),
    path("bookings/look/", bookings.booking_look, name="booking_look"),
    path("bookings/make/", bookings.booking_make, name="booking_make"),
    path("bookings/<int:pk>/", bookings.booking_detail, name="booking_detail"),
    path("bookings/<int:pk>/look/", bookings.booking_look, name="booking_look"),
    path("bookings/<int:pk>/edit/", bookings.booking_edit, name="booking_edit"),
    path("bookings/<int:pk>/change/", bookings.booking_change, name="booking_change"),
    path(
        "bookings/<int:pk>/cancel/", booking_money.booking_cancel, name="booking_cancel"
    ),
    path(
        "bookings/<int:pk>/restore/",
        booking_money.booking_restore,
        name="booking_restore",
    ),
    path(
        "bookings/<int:pk>/deposits/record/",
        booking_money.deposit_record,
        name="deposit_record",
    ),
    path(
        "bookings/<int:pk>/deposits/<int:payment_pk>/reverse/",
        booking_money.deposit_reverse,
        name="deposit_reverse",
    ),
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
    path("calls/", promises.calls, name="calls"),
    path("handovers/", handover.handovers, name="handovers"),
    path("prices/", prices.prices, name="prices"),
    path("prices/change/", prices.prices_change, name="prices_change"),
    path("prices/tax/change/", prices.tax_change, name="tax_change"),
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
    # what a manager sets
    path("settings/rules/", rules.rules, name="rules"),
    path("settings/rules/change/", rules.rules_change, name="rules_change"),
    path("settings/rules/enforce/", rules.rules_enforce, name="rules_enforce"),
    path("settings/acceptance/", rules.acceptance, name="acceptance"),
    path(
        "settings/acceptance/change/", rules.acceptance_change, name="acceptance_change"
    ),
    path("settings/cure/", cure.cure_table, name="cure_table"),
    path("settings/cure/change/", cure.cure_change, name="cure_change"),
    path("settings/laying/", laying.laying, name="laying"),
    path(
        "settings/laying/change/",
        button(
            change_laying,
            page=laying.laying,
            form=LayingForm,
            told=say("Kept. It holds for sheets and bottles from now on."),
        ),
        name="laying_change",
    ),
    path("settings/checklists/", rules.checklists, name="checklists"),
    path(
        "settings/checklists/<int:pk>/", rules.checklist_detail, name="checklist_detail"
    ),
    path(
        "settings/checklists/<int:pk>/change/",
        rules.checklist_change,
        name="checklist_change",
    ),
    # an order
    path("workorders/<int:pk>/", include("jobs.urls.workorders")),
    path("workorders/<int:pk>/", include("jobs.urls.checks")),
    path("workorders/<int:pk>/", include("jobs.urls.panels")),
    path("workorders/<int:pk>/", include("jobs.urls.handover")),
    *order_urls.urlpatterns,
    *film_urls.urlpatterns,
]
