"""The film, below `film/`: kinds, rolls, off-cuts, sizes, lists, the day's pull."""

from __future__ import annotations

from functools import partial

from django.urls import URLPattern, path

from jobs.coverage import pages as panel_sizes
from jobs.coverage.actions import add_panel_size, set_allowance
from jobs.coverage.size_forms import AllowanceForm, PanelSizeForm
from jobs.film import list_pages as film_lists
from jobs.film import pages as film
from jobs.film.actions import (
    call_off_order,
    change_film,
    change_films,
    count_roll,
    order_film,
    receive_roll,
    receive_rolls,
)
from jobs.film.forms import (
    CountForm,
    FilmForm,
    OffcutForm,
    OrderForm,
    RollForm,
    ScrapForm,
    UseForm,
)
from jobs.film.list_forms import TakeInForm
from jobs.film.offcut_actions import keep_offcut, scrap_offcut, use_offcut
from jobs.pulls import day_pages as pull_day
from jobs.workorders import row_pages as rows
from shopapp.buttons import button
from shopapp.rows import page_of_made
from shopapp.say import say

ORDER = "<int:pk>/orders/<int:order_pk>"
of_film = partial(button, page=film.film_detail, on=rows.film)
of_roll = partial(button, page=film.roll_detail, on=rows.roll)
of_offcut = partial(button, page=film.offcut_detail, on=rows.offcut)
of_list = partial(
    button,
    page=film_lists.film_list,
    form=TakeInForm,
    then="jobs:film",
    told=say("The list is taken in."),
)
add = button(
    change_film,
    page=film.film_new,
    form=FilmForm,
    then=page_of_made("jobs:film_detail"),
    film_pk=None,
)
change = of_film(
    change_film, form=FilmForm, told=say("The film is kept as you wrote it.")
)
receive = button(
    receive_roll,
    page=film.roll_new,
    form=RollForm,
    then=page_of_made("jobs:roll_detail"),
)
add_size = button(
    add_panel_size,
    page=panel_sizes.panel_sizes,
    form=PanelSizeForm,
    told=say("Measured size kept. It wins over the template from now on."),
)
allow_more = button(
    set_allowance,
    page=panel_sizes.panel_sizes,
    form=AllowanceForm,
    told=say("Kept. Plans made from now on use it."),
)

urlpatterns: list[URLPattern] = [
    path("", film.film, name="film"),
    path("new/", film.film_new, name="film_new"),
    path("add/", add, name="film_add"),
    path("<int:pk>/", film.film_detail, name="film_detail"),
    path("<int:pk>/change/", change, name="film_change"),
    path("<int:pk>/order/", of_film(order_film, form=OrderForm), name="film_order"),
    path(
        f"{ORDER}/call-off/",
        of_film(call_off_order, on=rows.order_of_film),
        name="film_call_off",
    ),
    # rolls and off-cuts
    path("rolls/new/", film.roll_new, name="roll_new"),
    path("rolls/receive/", receive, name="roll_receive"),
    path("rolls/<int:pk>/", film.roll_detail, name="roll_detail"),
    path(
        "rolls/<int:pk>/count/", of_roll(count_roll, form=CountForm), name="roll_count"
    ),
    path(
        "rolls/<int:pk>/offcuts/keep/",
        of_roll(keep_offcut, form=OffcutForm),
        name="offcut_keep",
    ),
    path("offcuts/<int:pk>/", film.offcut_detail, name="offcut_detail"),
    path(
        "offcuts/<int:pk>/use/", of_offcut(use_offcut, form=UseForm), name="offcut_use"
    ),
    path(
        "offcuts/<int:pk>/scrap/",
        of_offcut(scrap_offcut, form=ScrapForm),
        name="offcut_scrap",
    ),
    # sizes of panels
    path("panels/", panel_sizes.panel_sizes, name="panel_sizes"),
    path("panels/add/", add_size, name="panel_size_add"),
    path("panels/allow/", allow_more, name="panel_allowance"),
    # lists, as CSV
    path("list/", film_lists.film_list, name="film_list"),
    path("list/look/", film_lists.film_list_look, name="film_list_look"),
    path("list/rolls/", of_list(receive_rolls), name="rolls_receive"),
    path("list/films/", of_list(change_films), name="films_change"),
    path("stock.csv", film_lists.film_stock_csv, name="film_stock_csv"),
    path("films.csv", film_lists.films_csv, name="films_csv"),
    path("movements.csv", film_lists.film_movements_csv, name="film_movements_csv"),
    # several cars together
    path("day/", pull_day.pull_day, name="pull_day"),
    path("day/<int:film_pk>/plan/", pull_day.pull_day_plan, name="pull_day_plan"),
]
