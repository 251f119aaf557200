"""Papers of an order, and labels."""

from __future__ import annotations

from django.urls import URLPattern, path

from jobs.papers.actions import issue_label, issue_paper, print_again
from jobs.papers.forms import LabelForm, PaperForm
from jobs.papers.pages import (
    label_new,
    open_paper,
    paper_detail,
    paper_state,
    workorder_papers,
)
from jobs.workorders.row_pages import labelled, order
from shopapp.buttons import button
from shopapp.rows import page_of_made

LABEL = "labels/<slug:what>/<int:pk>"
ORDER = "workorders/<int:pk>/papers"
to_paper = page_of_made("jobs:paper_detail")

urlpatterns: list[URLPattern] = [
    path("papers/<int:pk>/", paper_detail, name="paper_detail"),
    path("papers/<int:pk>/state/", paper_state, name="paper_state"),
    path(
        "papers/<int:pk>/again/",
        button(print_again, page=paper_detail, on=open_paper, then=to_paper),
        name="paper_again",
    ),
    path(f"{LABEL}/", label_new, name="label_new"),
    path(
        f"{LABEL}/issue/",
        button(issue_label, page=label_new, on=labelled, form=LabelForm, then=to_paper),
        name="label_issue",
    ),
    path(f"{ORDER}/", workorder_papers, name="workorder_papers"),
    path(
        f"{ORDER}/issue/",
        button(issue_paper, page=workorder_papers, on=order, form=PaperForm),
        name="paper_issue",
    ),
]
