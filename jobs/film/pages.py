"""Film in stock: kinds, rolls, off-cuts, orders."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.utils import timezone
from django.views.decorators.http import require_GET

from jobs.film.ahead_queries import shortages_said
from jobs.film.forms import (
    CountForm,
    FilmForm,
    OffcutForm,
    OrderForm,
    RollForm,
    ScrapForm,
    UseForm,
)
from jobs.film.queries import (
    RECENT_MOVEMENTS,
    film_stock,
    film_yield,
    movements_of,
    open_orders,
)
from jobs.film.stock import next_roll_code
from jobs.models import Film, OffCut, Roll
from shopapp.access import allow, may
from shopapp.models import the_shop
from shopapp.pressing import Bound, form_for


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
    return render(request, "jobs/film/film.html", context)


@require_GET
@allow("film.change")
def film_new(request: HttpRequest, *, bound: Bound | None = None) -> HttpResponse:
    """A kind of film that is not known yet."""
    context = {
        "film": None,
        "bound": bound,
        "form": form_for(FilmForm, bound, "film_add"),
    }
    return render(request, "jobs/film/film_detail.html", context)


@require_GET
@allow("film.view")
def film_detail(
    request: HttpRequest, pk: int, *, bound: Bound | None = None
) -> HttpResponse:
    """One kind of film: its facts, orders, latest movements."""
    row = get_object_or_404(Film, pk=pk)
    initial = FilmForm.initial_of(row)
    context = {
        "film": row,
        "bound": bound,
        "form": form_for(lambda: FilmForm(initial=initial), bound, "film_change"),
        "orders": open_orders().filter(film=row),
        "order_form": form_for(OrderForm, bound, "film_order"),
        "movements": movements_of(row)[:RECENT_MOVEMENTS],
        "yield": film_yield(row),
    }
    return render(request, "jobs/film/film_detail.html", context)


@require_GET
@allow("roll.receive")
def roll_new(request: HttpRequest, *, bound: Bound | None = None) -> HttpResponse:
    """A roll has come."""
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
    return render(request, "jobs/film/roll_new.html", {"form": form, "bound": bound})


@require_GET
@allow("film.view")
def roll_detail(
    request: HttpRequest, pk: int, *, bound: Bound | None = None
) -> HttpResponse:
    """One roll and all that was ever done to it."""
    roll = get_object_or_404(Roll.objects.select_related("film"), pk=pk)
    context = {
        "roll": roll,
        "bound": bound,
        "movements": movements_of().filter(roll=roll),
        "offcuts": roll.offcuts.filter(used_at=None, scrapped_at=None),
        "count_form": form_for(CountForm, bound, "roll_count"),
        "offcut_form": form_for(OffcutForm, bound, "offcut_keep"),
    }
    return render(request, "jobs/film/roll_detail.html", context)


@require_GET
@allow("film.view")
def offcut_detail(
    request: HttpRequest, pk: int, *, bound: Bound | None = None
) -> HttpResponse:
    """One off-cut and its label."""
    offcut = get_object_or_404(OffCut.objects.select_related("film", "roll"), pk=pk)
    context = {
        "offcut": offcut,
        "bound": bound,
        "movements": movements_of().filter(offcut=offcut),
        "use_form": form_for(UseForm, bound, "offcut_use"),
        "scrap_form": form_for(ScrapForm, bound, "offcut_scrap"),
    }
    return render(request, "jobs/film/offcut_detail.html", context)
