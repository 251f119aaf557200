"""Products with their data sheets; where stock stands, and in what."""

from __future__ import annotations

from typing import Any

from django.forms.models import model_to_dict
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.views.decorators.http import require_GET

from mixing.models import Chemical, StockContainer, StorageSpot
from mixing.rule_sets.queries import rules_of
from mixing.shelf.chemical_forms import ContainerForm, DataSheetForm, SpotForm
from mixing.shelf.data_sheet_queries import chemical_rows
from shopapp.access import allow
from shopapp.models import the_shop
from shopapp.pressing import Bound, form_for


@require_GET
@allow("chemical.view")
def chemicals(request: HttpRequest, *, bound: Bound | None = None) -> HttpResponse:
    """Every product with its data sheet, and the storage spots."""
    spots = [
        (
            spot,
            form_for(
                lambda spot=spot: SpotForm(initial=model_to_dict(spot)),
                bound,
                "spot_change",
                pk=spot.pk,
            ),
        )
        for spot in StorageSpot.objects.all()
    ]
    shop = the_shop()
    context: dict[str, Any] = {
        "bound": bound,
        "tab": "chemicals",
        "rows": chemical_rows(shop, rules=rules_of(shop)),
        "spots": spots,
        "spot_form": form_for(SpotForm, bound, "spot_add"),
    }
    return render(request, "mixing/shelf/chemicals.html", context)


@require_GET
@allow("chemical.view")
def chemical_detail(
    request: HttpRequest, pk: int, *, bound: Bound | None = None
) -> HttpResponse:
    """What a product's data sheet says."""
    chemical = get_object_or_404(Chemical.objects.select_related("sheet_file"), pk=pk)
    known = model_to_dict(chemical, exclude=["sheet_file"])
    context: dict[str, Any] = {
        "bound": bound,
        "tab": "chemicals",
        "chemical": chemical,
        "form": form_for(
            lambda: DataSheetForm(initial=known), bound, "chemical_change"
        ),
        "containers": chemical.stockcontainer_set.filter(retired_at=None),
    }
    return render(request, "mixing/shelf/chemical_detail.html", context)


@require_GET
@allow("stock.view")
def container_storage(
    request: HttpRequest, code: str, *, bound: Bound | None = None
) -> HttpResponse:
    """What a container is made of and where it stands."""
    container = get_object_or_404(
        StockContainer.objects.select_related("chemical"), code__iexact=code
    )
    known = model_to_dict(container, fields=list(ContainerForm.base_fields))
    if container.approved is not None:
        known["approved"] = "yes" if container.approved else "no"
    context: dict[str, Any] = {
        "bound": bound,
        "tab": "stock",
        "container": container,
        "form": form_for(
            lambda: ContainerForm(initial=known), bound, "container_change"
        ),
    }
    return render(request, "mixing/shelf/container_storage.html", context)
