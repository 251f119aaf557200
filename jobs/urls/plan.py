"""The plan, below `plan/`: today, days, one car, what is proposed."""

from __future__ import annotations

from django.urls import URLPattern, path

from jobs.plan import car_pages, pages, proposal_pages, week_pages

urlpatterns: list[URLPattern] = [
    path("", pages.plan, name="plan"),
    path("week/", week_pages.plan_week, name="plan_week"),
    path("day/<slug:day>/", week_pages.plan_day, name="plan_day"),
    path("cars/<int:pk>/", car_pages.plan_car, name="plan_car"),
    path("proposal/", proposal_pages.plan_proposal, name="plan_proposal"),
]
