"""Products with their data sheets; where stock stands, and in what."""

from __future__ import annotations

from typing import Any

from django.forms.models import model_to_dict
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.views.decorators.http import require_GET, require_POST

from mixing.actions.stock import change_chemical
from mixing.actions.storage import change_container, change_spot
from mixing.data_sheets import chemical_rows
from mixing.forms.chemicals import ContainerForm, DataSheetForm, SpotForm
from mixing.models import Chemical, StockContainer, StorageSpot
from mixing.queries import rules_of
from shopapp.access import allow
from shopapp.models import the_shop
from shopapp.pressing import Bound, form_for, press
from shopapp.say import say


@require_GET
@allow("chemical.view")
def chemicals(request: HttpRequest) -> HttpResponse:
    """Every product with its data sheet, and the storage spots."""
    return _chemicals_page(request, None)


def _chemicals_page(request: HttpRequest, bound: Bound | None) -> HttpResponse:
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
    return render(request, "mixing/chemicals.html", context)


@require_GET
@allow("chemical.view")
def chemical_detail(request: HttpRequest, pk: int) -> HttpResponse:
    """What a product's data sheet says."""
    return _chemical_page(request, pk, None)


def _chemical_page(request: HttpRequest, pk: int, bound: Bound | None) -> HttpResponse:
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
    return render(request, "mixing/chemical_detail.html", context)


@require_POST
@allow("chemical.change")
def chemical_change(request: HttpRequest, pk: int) -> HttpResponse:
    """Keep what the data sheet says."""
    get_object_or_404(Chemical, pk=pk)
    return press(
        request,
        change_chemical,
        form=DataSheetForm(request.POST, request.FILES),
        page=lambda bound: _chemical_page(request, pk, bound),
        then=reverse("mixing:chemical_detail", args=[pk]),
        told=say("Kept."),
        chemical_pk=pk,
    )


@require_POST
@allow("spot.change")
def spot_add(request: HttpRequest) -> HttpResponse:
    """Add a cabinet, a shelf, a room."""
    return _press_spot(request)


@require_POST
@allow("spot.change")
def spot_change(request: HttpRequest, pk: int) -> HttpResponse:
    """Change one."""
    get_object_or_404(StorageSpot, pk=pk)
    return _press_spot(request, spot_pk=pk)


def _press_spot(request: HttpRequest, **facts: Any) -> HttpResponse:
    return press(
        request,
        change_spot,
        form=SpotForm(request.POST),
        page=lambda bound: _chemicals_page(request, bound),
        then=reverse("mixing:chemicals"),
        told=say("Kept."),
        **facts,
    )


@require_GET
@allow("stock.view")
def container_storage(request: HttpRequest, code: str) -> HttpResponse:
    """What a container is made of and where it stands."""
    return _container_page(request, code, None)


def _container_page(
    request: HttpRequest, code: str, bound: Bound | None
) -> HttpResponse:
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
    return render(request, "mixing/container_storage.html", context)


@require_POST
@allow("stock.change")
def container_change(request: HttpRequest, code: str) -> HttpResponse:
    """Keep it."""
    container = get_object_or_404(StockContainer, code__iexact=code)
    return press(
        request,
        change_container,
        form=ContainerForm(request.POST),
        page=lambda bound: _container_page(request, code, bound),
        then=reverse("mixing:container_detail", args=[container.code]),
        told=say("Kept."),
        container_pk=container.pk,
    )
