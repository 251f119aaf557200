"""Film as CSV: a list looked over and taken in; stock and movements given out."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_GET, require_POST

from jobs.actions.film import change_films, receive_rolls
from jobs.film_lists import (
    FILM_COLUMNS,
    ROLL_COLUMNS,
    ReadList,
    right_rows,
    written,
)
from jobs.forms.film_lists import ListForm, TakeInForm, read_list
from jobs.queries.film import movements_of
from jobs.queries.film_rows import (
    MOVEMENT_COLUMNS,
    STOCK_COLUMNS,
    movement_rows,
    stock_rows,
)
from shopapp.access import allow
from shopapp.pressing import Bound, press
from shopapp.say import say


@require_GET
@allow("roll.receive_all")
def film_list(request: HttpRequest) -> HttpResponse:
    """Choose a file."""
    return _page(request, ListForm())


def _page(
    request: HttpRequest,
    form: Any,
    *,
    read: ReadList | None = None,
    text: str = "",
    kind: str = "",
    bound: Bound | None = None,
) -> HttpResponse:
    context = {
        "form": form,
        "read": read,
        "text": text,
        "kind": kind,
        "bound": bound,
        "columns": {"rolls": ROLL_COLUMNS, "films": FILM_COLUMNS},
    }
    status = 422 if form.errors else 200
    return render(request, "jobs/film_list.html", context, status=status)


@require_POST
@allow("roll.receive_all")
def film_list_look(request: HttpRequest) -> HttpResponse:
    """Show what the list says, row by row; nothing is written."""
    form = ListForm(request.POST, request.FILES)
    if not form.is_valid():
        return _page(request, form)
    found = form.cleaned_data
    read = found["read"]
    return _page(request, form, read=read, text=right_rows(read), kind=found["kind"])


@require_POST
@allow("roll.receive_all")
def rolls_receive(request: HttpRequest) -> HttpResponse:
    """Take the rolls of the list in."""
    return _take_in(request, receive_rolls)


@require_POST
@allow("film.change_all")
def films_change(request: HttpRequest) -> HttpResponse:
    """Take the films of the list in."""
    return _take_in(request, change_films)


def _take_in(request: HttpRequest, do: Any) -> HttpResponse:
    def page(bound: Bound) -> HttpResponse:
        kind, text = request.POST.get("kind", ""), request.POST.get("text", "")
        read = read_list(kind, text) if text else None
        return _page(request, ListForm(), read=read, text=text, kind=kind, bound=bound)

    return press(
        request,
        do,
        form=TakeInForm(request.POST),
        page=page,
        then=reverse("jobs:film"),
        told=say("The list is taken in."),
    )


def _csv(name: str, text: str) -> HttpResponse:
    day = timezone.localdate().isoformat()
    return HttpResponse(
        # The mark tells a spreadsheet that this is UTF-8.
        "\ufeff" + text,
        content_type="text/csv; charset=utf-8",
        headers={"Content-Disposition": f'attachment; filename="{name}-{day}.csv"'},
    )


@require_GET
@allow("film.export")
def film_stock_csv(request: HttpRequest) -> HttpResponse:
    """Every roll and off-cut on the shelf."""
    return _csv("film-stock", written(STOCK_COLUMNS, stock_rows()))


@require_GET
@allow("film.export")
def film_movements_csv(request: HttpRequest) -> HttpResponse:
    """Every movement there ever was."""
    rows = movement_rows(movements_of())
    return _csv("film-movements", written(MOVEMENT_COLUMNS, rows))
