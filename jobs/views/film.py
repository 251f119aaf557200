"""Film in stock: kinds, rolls, off-cuts, orders."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_GET, require_POST

from jobs.actions.film import (
    call_off_order,
    change_film,
    count_roll,
    order_film,
    receive_roll,
)
from jobs.actions.offcuts import keep_offcut, scrap_offcut, use_offcut
from jobs.film_stock import next_roll_code
from jobs.forms.film import (
    CountForm,
    FilmForm,
    OffcutForm,
    OrderForm,
    RollForm,
    ScrapForm,
    UseForm,
)
from jobs.models import Film, FilmOrder, OffCut, Roll
from jobs.queries.film import (
    RECENT_MOVEMENTS,
    film_stock,
    film_yield,
    movements_of,
    open_orders,
)
from jobs.queries.film_ahead import shortages_said
from shopapp.access import allow, may
from shopapp.models import the_shop
from shopapp.pressing import Bound, form_for, press
from shopapp.say import Say, say


@require_GET
@allow("film.view")
def film(request: HttpRequest) -> HttpResponse:
    """All film, kind by kind."""
    stocks = film_stock()
    ahead = shortages_said(now=timezone.now(), shop=the_shop())
    context = {
        "stocks": stocks,
        "film_ahead": ahead,
        "said": [short.film for short in ahead],
        "sees_cost": may(request.user, "film.cost"),
        "total": sum((stock.value or 0 for stock in stocks), 0),
    }
    return render(request, "jobs/film.html", context)


@require_GET
@allow("film.change")
def film_new(request: HttpRequest) -> HttpResponse:
    """A kind of film that is not known yet."""
    return _film_page(request, None, None)


@require_GET
@allow("film.view")
def film_detail(request: HttpRequest, pk: int) -> HttpResponse:
    """One kind of film: its facts, orders, latest movements."""
    return _film_page(request, pk, None)


def _film_page(
    request: HttpRequest, pk: int | None, bound: Bound | None
) -> HttpResponse:
    row = get_object_or_404(Film, pk=pk) if pk else None
    context: dict[str, Any] = {"film": row, "bound": bound}
    initial = FilmForm.initial_of(row) if row else {}
    url_name = "film_change" if row else "film_add"
    context["form"] = form_for(lambda: FilmForm(initial=initial), bound, url_name)
    if row:
        context |= {
            "orders": open_orders().filter(film=row),
            "order_form": form_for(OrderForm, bound, "film_order"),
            "movements": movements_of(row)[:RECENT_MOVEMENTS],
            "yield": film_yield(row),
        }
    return render(request, "jobs/film_detail.html", context)


@require_POST
@allow("film.change")
def film_add(request: HttpRequest) -> HttpResponse:
    """Keep a new kind of film."""
    return press(
        request,
        change_film,
        form=FilmForm(request.POST),
        page=lambda bound: _film_page(request, None, bound),
        then=lambda answer: reverse("jobs:film_detail", args=[answer["pk"]]),
        film_pk=None,
    )


def _press_film(
    request: HttpRequest, pk: int, do: Any, form: Any, *, told: Say | None = None
) -> HttpResponse:
    return press(
        request,
        do,
        form=form,
        page=lambda bound: _film_page(request, pk, bound),
        then=reverse("jobs:film_detail", args=[pk]),
        told=told,
        film_pk=pk,
    )


@require_POST
@allow("film.change")
def film_change(request: HttpRequest, pk: int) -> HttpResponse:
    """Change what is known of a film."""
    told = say("The film is kept as you wrote it.")
    return _press_film(request, pk, change_film, FilmForm(request.POST), told=told)


@require_POST
@allow("film.order")
def film_order(request: HttpRequest, pk: int) -> HttpResponse:
    """Note an order."""
    return _press_film(request, pk, order_film, OrderForm(request.POST))


@require_POST
@allow("film.call_off")
def film_call_off(request: HttpRequest, pk: int, order_pk: int) -> HttpResponse:
    """An order will not come."""
    get_object_or_404(FilmOrder, pk=order_pk, film=pk)
    return press(
        request,
        call_off_order,
        page=lambda bound: _film_page(request, pk, bound),
        then=reverse("jobs:film_detail", args=[pk]),
        order_pk=order_pk,
    )


@require_GET
@allow("roll.receive")
def roll_new(request: HttpRequest) -> HttpResponse:
    """A roll has come."""
    return _receive_page(request, None)


def _receive_page(request: HttpRequest, bound: Bound | None) -> HttpResponse:
    wanted = request.GET.get("order", "")
    order = open_orders().filter(pk=wanted).first() if wanted.isdecimal() else None
    initial = {
        "order": order,
        "film": order.film_id if order else request.GET.get("film"),
        "code": next_roll_code(
            list(Roll.objects.order_by("pk").values_list("code", flat=True))
        ),
        **({"width_mm": order.width_mm, "length_mm": order.length_mm} if order else {}),
    }
    form = form_for(lambda: RollForm(initial=initial), bound, "roll_receive")
    return render(request, "jobs/roll_new.html", {"form": form, "bound": bound})


@require_POST
@allow("roll.receive")
def roll_receive(request: HttpRequest) -> HttpResponse:
    """Put it on the shelf."""
    return press(
        request,
        receive_roll,
        form=RollForm(request.POST),
        page=lambda bound: _receive_page(request, bound),
        then=lambda answer: reverse("jobs:roll_detail", args=[answer["pk"]]),
    )


@require_GET
@allow("film.view")
def roll_detail(request: HttpRequest, pk: int) -> HttpResponse:
    """One roll and all that was ever done to it."""
    return _roll_page(request, pk, None)


def _roll_page(request: HttpRequest, pk: int, bound: Bound | None) -> HttpResponse:
    roll = get_object_or_404(Roll.objects.select_related("film"), pk=pk)
    context = {
        "roll": roll,
        "bound": bound,
        "movements": movements_of().filter(roll=roll),
        "offcuts": roll.offcuts.filter(used_at=None, scrapped_at=None),
        "count_form": form_for(CountForm, bound, "roll_count"),
        "offcut_form": form_for(OffcutForm, bound, "offcut_keep"),
    }
    return render(request, "jobs/roll_detail.html", context)


def _press_roll(request: HttpRequest, pk: int, do: Any, form: Any) -> HttpResponse:
    return press(
        request,
        do,
        form=form,
        page=lambda bound: _roll_page(request, pk, bound),
        then=reverse("jobs:roll_detail", args=[pk]),
        roll_pk=pk,
    )


@require_POST
@allow("roll.count")
def roll_count(request: HttpRequest, pk: int) -> HttpResponse:
    """Set the roll to what was measured."""
    return _press_roll(request, pk, count_roll, CountForm(request.POST))


@require_POST
@allow("offcut.keep")
def offcut_keep(request: HttpRequest, pk: int) -> HttpResponse:
    """Keep a piece of the roll."""
    return _press_roll(request, pk, keep_offcut, OffcutForm(request.POST))


@require_GET
@allow("film.view")
def offcut_detail(request: HttpRequest, pk: int) -> HttpResponse:
    """One off-cut and its label."""
    return _offcut_page(request, pk, None)


def _offcut_page(request: HttpRequest, pk: int, bound: Bound | None) -> HttpResponse:
    offcut = get_object_or_404(OffCut.objects.select_related("film", "roll"), pk=pk)
    context = {
        "offcut": offcut,
        "bound": bound,
        "movements": movements_of().filter(offcut=offcut),
        "use_form": form_for(UseForm, bound, "offcut_use"),
        "scrap_form": form_for(ScrapForm, bound, "offcut_scrap"),
    }
    return render(request, "jobs/offcut_detail.html", context)


def _press_offcut(request: HttpRequest, pk: int, do: Any, form: Any) -> HttpResponse:
    return press(
        request,
        do,
        form=form,
        page=lambda bound: _offcut_page(request, pk, bound),
        then=reverse("jobs:offcut_detail", args=[pk]),
        offcut_pk=pk,
    )


@require_POST
@allow("offcut.use")
def offcut_use(request: HttpRequest, pk: int) -> HttpResponse:
    """It was used."""
    return _press_offcut(request, pk, use_offcut, UseForm(request.POST))


@require_POST
@allow("offcut.scrap")
def offcut_scrap(request: HttpRequest, pk: int) -> HttpResponse:
    """It was thrown away."""
    return _press_offcut(request, pk, scrap_offcut, ScrapForm(request.POST))
