"""The plan on paper, below `plan/`."""

from __future__ import annotations

from functools import partial

from django.urls import URLPattern, path

from jobs.papers.plan_actions import (
    issue_day_sheet,
    issue_desk_sheet,
    issue_plan_week,
)
from jobs.papers.plan_forms import PlanPaperForm
from jobs.papers.plan_pages import plan_csv, plan_papers
from shopapp.buttons import button
from shopapp.rows import page_of_made

printed = partial(
    button,
    page=plan_papers,
    form=PlanPaperForm,
    then=page_of_made("jobs:paper_detail"),
)

urlpatterns: list[URLPattern] = [
    path("papers/", plan_papers, name="plan_papers"),
    path("papers/day/", printed(issue_day_sheet), name="day_sheet_issue"),
    path("papers/desk/", printed(issue_desk_sheet), name="desk_sheet_issue"),
    path("papers/week/", printed(issue_plan_week), name="plan_week_issue"),
    path("plan.csv", plan_csv, name="plan_csv"),
]
