"""Addresses of an order: its pages, then a verb for a POST."""

from __future__ import annotations

from django.urls import URLPattern, URLResolver, path

from jobs.views import (
    mixing,
    pouring_from,
    trouble,
)

urlpatterns: list[URLPattern | URLResolver] = [
    # the mixing
    path(
        "workorders/<int:pk>/mixing/", mixing.workorder_mixing, name="workorder_mixing"
    ),
    path(
        "workorders/<int:pk>/mixing/plan/",
        mixing.workorder_mix_plan,
        name="workorder_mix_plan",
    ),
    path(
        "workorders/<int:pk>/mixing/take/",
        mixing.workorder_mix_take,
        name="workorder_mix_take",
    ),
    path(
        "workorders/<int:pk>/trouble/",
        trouble.workorder_trouble,
        name="workorder_trouble",
    ),
    path(
        "workorders/<int:pk>/mixing/print/",
        mixing.workorder_mix_print,
        name="workorder_mix_print",
    ),
    path(
        "workorders/<int:pk>/mixing/water/",
        mixing.workorder_mix_water,
        name="workorder_mix_water",
    ),
    path(
        "workorders/<int:pk>/mixing/top-up/",
        mixing.workorder_mix_top_up,
        name="workorder_mix_top_up",
    ),
    path(
        "workorders/<int:pk>/mixing/<slug:kind>/",
        mixing.workorder_mix,
        name="workorder_mix",
    ),
    path(
        "workorders/<int:pk>/mixing/<slug:kind>/scan/",
        mixing.workorder_mix_scan,
        name="workorder_mix_scan",
    ),
    path(
        "workorders/<int:pk>/mixing/<slug:kind>/start/",
        mixing.workorder_mix_start,
        name="workorder_mix_start",
    ),
    path(
        "workorders/<int:pk>/mixing/<slug:kind>/skip/",
        mixing.workorder_mix_skip,
        name="workorder_mix_skip",
    ),
    path(
        "workorders/<int:pk>/mixing/<slug:kind>/<int:version>/",
        mixing.workorder_mix_steps,
        name="workorder_mix_steps",
    ),
    path(
        "workorders/<int:pk>/mixing/<slug:kind>/<int:version>/record/",
        mixing.workorder_mix_record,
        name="workorder_mix_record",
    ),
    path(
        "workorders/<int:pk>/mixing/<slug:kind>/<int:version>/from/",
        pouring_from.workorder_mix_from,
        name="workorder_mix_from",
    ),
    path(
        "workorders/<int:pk>/mixing/<slug:kind>/open/<str:code>/",
        pouring_from.workorder_mix_open,
        name="workorder_mix_open",
    ),
]
