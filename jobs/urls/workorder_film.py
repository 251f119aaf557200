"""The film of an order, below its `film/`: planned, taken, cut again, wound back."""

from __future__ import annotations

from functools import partial

from django.urls import URLPattern, path

from jobs.film.actions import return_film
from jobs.pulls import pages as film
from jobs.pulls.actions import drop_pull, plan_the_pull, recut_panels
from jobs.pulls.claims import taken_told
from jobs.pulls.forms import ReturnForm
from jobs.pulls.unplanned_actions import take_unplanned
from jobs.workorders.row_pages import order
from shopapp.buttons import button

act = partial(button, page=film.workorder_film, on=order)
take = act(take_unplanned, form=film.unplanned_form, told=taken_told(None))

urlpatterns: list[URLPattern] = [
    path("", film.workorder_film, name="workorder_film"),
    path("plan/", act(plan_the_pull, on=film.still_to_cut), name="pull_plan"),
    path("take/", take, name="pull_unplanned"),
    path("seen/<slug:seen>/", film.pull_seen, name="pull_seen"),
    path("return/", act(return_film, form=ReturnForm), name="film_return"),
    path(
        "recut/<int:panel_pk>/",
        act(recut_panels, on=film.to_cut_again),
        name="pull_recut",
    ),
    path("<int:pull_pk>/confirm/", film.pull_confirm, name="pull_confirm"),
    path("<int:pull_pk>/drop/", act(drop_pull), name="pull_drop"),
    path("<int:pull_pk>/replan/", film.pull_replan, name="pull_replan"),
    path("<int:pull_pk>/drawing.svg", film.pull_drawing, name="pull_drawing"),
]
