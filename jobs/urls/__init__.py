"""Addresses of the car's path: nouns, then a verb for a POST."""

from __future__ import annotations

from django.urls import URLPattern, URLResolver, include, path

from jobs.actions.laying import change_laying
from jobs.forms.laying import LayingForm
from jobs.urls import order as order_urls
from jobs.views import (
    board,
    cure,
    customer_page,
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
    path("bookings/", include("jobs.urls.bookings")),
    path("arrivals/", include("jobs.urls.arrivals")),
    path("", include("jobs.urls.customers")),
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
    path("workorders/<int:pk>/film/", include("jobs.urls.workorder_film")),
    *order_urls.urlpatterns,
    path("film/", include("jobs.urls.film")),
]
