"""Addresses of the car's path: nouns, then a verb for a POST."""

from __future__ import annotations

from django.urls import URLPattern, URLResolver, path

from jobs.views import board, history, my_work, workorders

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
]
