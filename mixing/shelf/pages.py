"""The shelf: containers and products."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_GET

from mixing.bench.queries import containers_on_shelf
from mixing.models import Chemical, StockContainer
from mixing.shelf.forms import (
    ChemicalForm,
    CountForm,
    DiscardForm,
    NameForm,
    ReceiveForm,
)
from shopapp.access import allow
from shopapp.frame import Answer
from shopapp.pressing import Bound, form_for


@require_GET
@allow("stock.view")
def stock(request: HttpRequest, *, bound: Bound | None = None) -> HttpResponse:
    """What stands on the shelf."""
    context: dict[str, Any] = {
        "bound": bound,
        "tab": "stock",
        "containers": containers_on_shelf(),
        "chemicals": Chemical.objects.all(),
        "today": timezone.localdate(),
        "receive_form": form_for(
            lambda: ReceiveForm(initial={"chemical": request.GET.get("product")}),
            bound,
            "stock_receive",
        ),
        "name_form": form_for(NameForm, bound, "chemical_name"),
        "chemical_form": form_for(ChemicalForm, bound, "chemical_add"),
    }
    return render(request, "mixing/shelf/stock.html", context)


@require_GET
@allow("stock.view")
def container_detail(
    request: HttpRequest, code: str, *, bound: Bound | None = None
) -> HttpResponse:
    """One container: what is left, and where it went."""
    container = get_object_or_404(
        StockContainer.objects.select_related("chemical", "spot"), code__iexact=code
    )
    context: dict[str, Any] = {
        "bound": bound,
        "tab": "stock",
        "container": container,
        "movements": container.movements.select_related("batch", "by").order_by("-pk"),
        "count_form": form_for(CountForm, bound, "container_count"),
        "discard_form": form_for(DiscardForm, bound, "container_discard"),
    }
    return render(request, "mixing/shelf/container_detail.html", context)


def named_url(answer: Answer) -> str:
    """The shelf, the product that was just named chosen."""
    return f"{reverse('mixing:stock')}?product={answer['pk']}"


def container_url(code: str) -> str:
    """The page of a container."""
    return reverse("mixing:container_detail", args=[code])
