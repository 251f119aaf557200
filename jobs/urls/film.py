"""Addresses of the film: rolls, off-cuts, panel sizes, lists, the day's pull."""

from __future__ import annotations

from django.urls import URLPattern, URLResolver, path

from jobs.views import (
    film,
    film_lists,
    panel_sizes,
    pull_day,
)

urlpatterns: list[URLPattern | URLResolver] = [
    path("film/", film.film, name="film"),
    path("film/new/", film.film_new, name="film_new"),
    path("film/add/", film.film_add, name="film_add"),
    path("film/<int:pk>/", film.film_detail, name="film_detail"),
    path("film/<int:pk>/change/", film.film_change, name="film_change"),
    path("film/<int:pk>/order/", film.film_order, name="film_order"),
    path(
        "film/<int:pk>/orders/<int:order_pk>/call-off/",
        film.film_call_off,
        name="film_call_off",
    ),
    path("film/rolls/new/", film.roll_new, name="roll_new"),
    path("film/rolls/receive/", film.roll_receive, name="roll_receive"),
    path("film/rolls/<int:pk>/", film.roll_detail, name="roll_detail"),
    path("film/rolls/<int:pk>/count/", film.roll_count, name="roll_count"),
    path("film/rolls/<int:pk>/offcuts/keep/", film.offcut_keep, name="offcut_keep"),
    path("film/offcuts/<int:pk>/", film.offcut_detail, name="offcut_detail"),
    path("film/offcuts/<int:pk>/use/", film.offcut_use, name="offcut_use"),
    path("film/offcuts/<int:pk>/scrap/", film.offcut_scrap, name="offcut_scrap"),
    path("film/panels/", panel_sizes.panel_sizes, name="panel_sizes"),
    path("film/panels/add/", panel_sizes.panel_size_add, name="panel_size_add"),
    path("film/panels/allow/", panel_sizes.panel_allowance, name="panel_allowance"),
    path("film/list/", film_lists.film_list, name="film_list"),
    path("film/list/look/", film_lists.film_list_look, name="film_list_look"),
    path("film/list/rolls/", film_lists.rolls_receive, name="rolls_receive"),
    path("film/list/films/", film_lists.films_change, name="films_change"),
    path("film/stock.csv", film_lists.film_stock_csv, name="film_stock_csv"),
    path("film/films.csv", film_lists.films_csv, name="films_csv"),
    path(
        "film/movements.csv", film_lists.film_movements_csv, name="film_movements_csv"
    ),
    path("film/day/", pull_day.pull_day, name="pull_day"),
    path("film/day/<int:film_pk>/plan/", pull_day.pull_day_plan, name="pull_day_plan"),
]
