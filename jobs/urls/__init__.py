"""Addresses of the car's path: nouns, then a verb for a POST."""

from __future__ import annotations

from django.urls import URLPattern, URLResolver, include, path

from jobs.additions.public_pages import customer_addition
from jobs.desk import search_pages as desk
from jobs.estimates.public_pages import customer_accept, customer_estimate
from jobs.handover import pages as handover
from jobs.mail.actions import settle_mail
from jobs.mail.forms import HowForm
from jobs.models import Mail
from jobs.papers.morning_actions import issue_morning
from jobs.papers.plan_forms import PlanPaperForm
from jobs.path import my_work_pages as my_work
from jobs.path import pages as board
from jobs.promises import pages as promises
from jobs.public import pages as customer_page
from jobs.returns import pages as returns
from shopapp.buttons import button
from shopapp.rows import by_pk, page_of_made

app_name = "jobs"
urlpatterns: list[URLPattern | URLResolver] = [
    # the floor
    path("floor/", board.floor, name="floor"),
    path("floor/wall/", board.wall, name="wall"),
    path("work/", my_work.my_work, name="my_work"),
    path("plan/", include("jobs.urls.plan")),
    path("running-low/", include("jobs.urls.supplies")),
    path("people-away/", include("jobs.urls.people")),
    path("", include("jobs.urls.feeds")),
    path("plan/", include("jobs.urls.plan_papers")),
    # papers and safety notes
    path("", include("jobs.urls.papers")),
    path("", include("jobs.urls.safety")),
    # the front desk
    path("search/", desk.search, name="search"),
    path("bookings/", include("jobs.urls.bookings")),
    path("estimates/", include("jobs.urls.estimates")),
    path("arrivals/", include("jobs.urls.arrivals")),
    path("", include("jobs.urls.customers")),
    path("", include("jobs.urls.invoices")),
    path("calls/", promises.calls, name="calls"),
    path(
        "calls/mails/<int:pk>/settle/",
        button(
            settle_mail,
            page=promises.calls,
            on=by_pk(Mail, "mail_pk"),
            form=HowForm,
        ),
        name="mail_settle",
    ),
    path(
        "calls/morning/",
        button(
            issue_morning,
            page=promises.calls,
            form=PlanPaperForm,
            then=page_of_made("jobs:paper_detail"),
        ),
        name="morning_issue",
    ),
    path("handovers/", handover.handovers, name="handovers"),
    path("comebacks/", returns.comebacks, name="comebacks"),
    path("prices/", include("jobs.urls.prices")),
    path("open-your-shop/", include("jobs.urls.newshop")),
    # the customer's secret address
    path("c/<str:token>/", customer_page.customer_page, name="customer_page"),
    path("c/<str:token>/agree/", customer_page.customer_agree, name="customer_agree"),
    path(
        "c/<str:token>/approve/",
        customer_page.customer_approve,
        name="customer_approve",
    ),
    path(
        "c/<str:token>/decline/",
        customer_page.customer_decline,
        name="customer_decline",
    ),
    path(
        "c/<str:token>/report/", customer_page.customer_report, name="customer_report"
    ),
    path("c/<str:token>/estimate/", customer_estimate, name="customer_estimate"),
    path(
        "c/<str:token>/estimate/<int:version_pk>/accept/",
        customer_accept,
        name="customer_accept",
    ),
    path(
        "c/<str:token>/additions/<int:addition_pk>/",
        customer_addition,
        name="customer_addition",
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
    path("settings/", include("jobs.urls.settings")),
    # an order
    path("workorders/<int:pk>/", include("jobs.urls.workorders")),
    path("workorders/<int:pk>/", include("jobs.urls.checks")),
    path("workorders/<int:pk>/", include("jobs.urls.additions")),
    path("workorders/<int:pk>/", include("jobs.urls.returns")),
    path("workorders/<int:pk>/", include("jobs.urls.panels")),
    path("workorders/<int:pk>/", include("jobs.urls.handover")),
    path("workorders/<int:pk>/film/", include("jobs.urls.workorder_film")),
    path("workorders/<int:pk>/", include("jobs.urls.mixing")),
    path("film/", include("jobs.urls.film")),
]
