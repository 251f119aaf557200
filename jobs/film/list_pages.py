"""Film as CSV: a list looked over and taken in; stock and movements given out."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_POST

from jobs.film.list_forms import ListForm, read_list
from jobs.film.list_text import SAVED_AS, ListText, written
from jobs.film.lists import (
    FILM_COLUMNS,
    NEEDED,
    ROLL_COLUMNS,
    STOCK_COLUMNS,
    ReadList,
    right_rows,
)
from jobs.film.queries import movements_of
from jobs.film.row_queries import (
    MOVEMENT_COLUMNS,
    Columns,
    Rows,
    film_rows,
    movement_rows,
    stock_rows,
    without_cost,
)
from shopapp.access import allow, may
from shopapp.pressing import Bound


@require_GET
@allow("roll.receive_all")
def film_list(request: HttpRequest, *, bound: Bound | None = None) -> HttpResponse:
    """Choose a file; or the rows that came back."""
    kind, text = request.POST.get("kind", ""), request.POST.get("text", "")
    read = read_list(kind, text) if text else None
    return _page(request, ListForm(), read=read, text=text, kind=kind, bound=bound)


def _page(
    request: HttpRequest,
    form: Any,
    *,
    read: ReadList | None = None,
    text: str = "",
    kind: str = "",
    bound: Bound | None = None,
    **reading: Any,
) -> HttpResponse:
    context = {
        "form": form,
        "read": read,
        "text": text,
        "kind": kind,
        "bound": bound,
        "columns": [
            ("rolls", ROLL_COLUMNS, NEEDED["rolls"]),
            ("films", FILM_COLUMNS, NEEDED["films"]),
        ],
        **reading,
    }
    status = 422 if form.errors else 200
    return render(request, "jobs/film/film_list.html", context, status=status)


@require_POST
@allow("roll.receive_all")
def film_list_look(request: HttpRequest) -> HttpResponse:
    """Show what the list says, row by row; nothing is written."""
    form = ListForm(request.POST, request.FILES)
    if not form.is_valid():
        return _page(request, form)
    found = form.cleaned_data
    read = found["read"]
    return _page(
        request,
        ListForm(initial={"kind": found["kind"]}),
        read=read,
        text=right_rows(read),
        kind=found["kind"],
        **_reading(found["text"], again=found["again"]),
    )


def _reading(text: ListText, *, again: str) -> dict[str, Any]:
    """How the file was read, where it might be read in another way."""
    if not text.saved_as:
        return {}
    return {
        "guessed_line": text.line,
        "read_as": SAVED_AS[text.saved_as],
        "ways": [
            (code, name, code == text.saved_as) for code, name in SAVED_AS.items()
        ],
        "again": again,
    }


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
    columns, rows = _seen(request, STOCK_COLUMNS, stock_rows())
    return _csv("film-stock", written(columns, rows))


@require_GET
@allow("film.export")
def films_csv(request: HttpRequest) -> HttpResponse:
    """Every kind of film, as the list takes it in again."""
    columns, rows = _seen(request, FILM_COLUMNS, film_rows())
    return _csv("films", written(columns, rows))


def _seen(request: HttpRequest, columns: Columns, rows: Rows) -> tuple[Columns, Rows]:
    """The list, without what film costs for those who do not see it."""
    if may(request.user, "film.cost"):
        return columns, rows
    return without_cost(columns, rows)


@require_GET
@allow("film.export")
def film_movements_csv(request: HttpRequest) -> HttpResponse:
    """Every movement there ever was."""
    rows = movement_rows(movements_of())
    return _csv("film-movements", written(MOVEMENT_COLUMNS, rows))
