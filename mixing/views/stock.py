"""The shelf: containers and products; dispensers; the water."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_GET, require_POST

from mixing.actions.dispensers import (
    calibrate_dropper,
    change_dispenser,
    weigh_dropper,
)
from mixing.actions.stock import (
    change_chemical,
    count_container,
    discard_container,
    keep_water_test,
    name_chemical,
    open_container,
    receive_stock,
)
from mixing.forms.bench import (
    CalibrateForm,
    DispenserForm,
    WaterForm,
    WeighForm,
)
from mixing.forms.stock import (
    ChemicalForm,
    CountForm,
    DiscardForm,
    NameForm,
    ReceiveForm,
)
from mixing.models import Chemical, Dispenser, StockContainer, WaterTest
from mixing.queries import containers_on_shelf, water_bands, water_note_of
from shopapp.access import allow
from shopapp.pressing import Bound, form_for, press


@require_GET
@allow("stock.view")
def stock(request: HttpRequest) -> HttpResponse:
    """What stands on the shelf."""
    return _stock_page(request, None)


def _stock_page(request: HttpRequest, bound: Bound | None) -> HttpResponse:
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
    return render(request, "mixing/stock.html", context)


@require_POST
@allow("stock.receive")
def stock_receive(request: HttpRequest) -> HttpResponse:
    """A container came."""
    return press(
        request,
        receive_stock,
        form=ReceiveForm(request.POST),
        page=lambda bound: _stock_page(request, bound),
        then=reverse("mixing:stock"),
    )


@require_POST
@allow("chemical.change")
def chemical_add(request: HttpRequest) -> HttpResponse:
    """Add a product."""
    return press(
        request,
        change_chemical,
        form=ChemicalForm(request.POST),
        page=lambda bound: _stock_page(request, bound),
        then=reverse("mixing:stock"),
    )


@require_POST
@allow("chemical.name")
def chemical_name(request: HttpRequest) -> HttpResponse:
    """Name a product that is not listed."""
    return press(
        request,
        name_chemical,
        form=NameForm(request.POST),
        page=lambda bound: _stock_page(request, bound),
        then=lambda answer: f"{reverse('mixing:stock')}?product={answer['pk']}",
    )


@require_GET
@allow("stock.view")
def container_detail(request: HttpRequest, code: str) -> HttpResponse:
    """One container: what is left, and where it went."""
    return _container_page(request, code, None)


def _container_page(
    request: HttpRequest, code: str, bound: Bound | None
) -> HttpResponse:
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
    return render(request, "mixing/container_detail.html", context)


def _press(
    request: HttpRequest, code: str, do: Any, *, form: Any = None
) -> HttpResponse:
    container = get_object_or_404(StockContainer, code__iexact=code)
    return press(
        request,
        do,
        form=form,
        page=lambda bound: _container_page(request, code, bound),
        then=reverse("mixing:container_detail", args=[container.code]),
        container_pk=container.pk,
    )


@require_POST
@allow("stock.open")
def container_open(request: HttpRequest, code: str) -> HttpResponse:
    """Open a container."""
    return _press(request, code, open_container)


@require_POST
@allow("stock.count")
def container_count(request: HttpRequest, code: str) -> HttpResponse:
    """Write down what is left."""
    return _press(request, code, count_container, form=CountForm(request.POST))


@require_POST
@allow("stock.discard")
def container_discard(request: HttpRequest, code: str) -> HttpResponse:
    """Take a container off the shelf."""
    return _press(request, code, discard_container, form=DiscardForm(request.POST))


@require_GET
@allow("mix.view")
def dispensers(request: HttpRequest) -> HttpResponse:
    """What amounts are read from."""
    return _dispensers_page(request, None)


def _dispensers_page(request: HttpRequest, bound: Bound | None) -> HttpResponse:
    rows = [
        (
            row,
            form_for(
                lambda row=row: DispenserForm(initial=dict(vars(row))),
                bound,
                "dispenser_change",
                pk=row.pk,
            ),
            form_for(CalibrateForm, bound, "dispenser_calibrate", pk=row.pk),
            form_for(
                lambda: WeighForm(initial={"drops": 20}),
                bound,
                "dispenser_weigh",
                pk=row.pk,
            ),
        )
        for row in Dispenser.objects.all()
    ]
    context: dict[str, Any] = {
        "bound": bound,
        "tab": "dispensers",
        "rows": rows,
        "form": form_for(
            lambda: DispenserForm(initial={"error_ml": 0.0}), bound, "dispenser_add"
        ),
    }
    return render(request, "mixing/dispensers.html", context)


def _press_dispenser(
    request: HttpRequest, do: Any, form: Any, **facts: Any
) -> HttpResponse:
    return press(
        request,
        do,
        form=form,
        page=lambda bound: _dispensers_page(request, bound),
        then=reverse("mixing:dispensers"),
        **facts,
    )


@require_POST
@allow("dispenser.change")
def dispenser_add(request: HttpRequest) -> HttpResponse:
    """Add a dispenser."""
    return _press_dispenser(request, change_dispenser, DispenserForm(request.POST))


@require_POST
@allow("dispenser.change")
def dispenser_change(request: HttpRequest, pk: int) -> HttpResponse:
    """Correct a dispenser."""
    get_object_or_404(Dispenser, pk=pk)
    form = DispenserForm(request.POST)
    return _press_dispenser(request, change_dispenser, form, dispenser_pk=pk)


@require_POST
@allow("dispenser.calibrate")
def dispenser_calibrate(request: HttpRequest, pk: int) -> HttpResponse:
    """Keep the size of a drop."""
    get_object_or_404(Dispenser, pk=pk)
    form = CalibrateForm(request.POST)
    return _press_dispenser(request, calibrate_dropper, form, dispenser_pk=pk)


@require_POST
@allow("dispenser.weigh")
def dispenser_weigh(request: HttpRequest, pk: int) -> HttpResponse:
    """Keep the size of a drop, as weighed."""
    get_object_or_404(Dispenser, pk=pk)
    form = WeighForm(request.POST)
    return _press_dispenser(request, weigh_dropper, form, dispenser_pk=pk)


@require_GET
@allow("mix.view")
def water(request: HttpRequest) -> HttpResponse:
    """Tests of the water."""
    return _water_page(request, None)


def _water_page(request: HttpRequest, bound: Bound | None) -> HttpResponse:
    context: dict[str, Any] = {
        "bound": bound,
        "tab": "water",
        "tests": WaterTest.objects.select_related("by")[:50],
        "note": water_note_of(on=timezone.localdate()),
        "hardness_bands": water_bands("hardness"),
        "solids_bands": water_bands("solids"),
        "form": form_for(
            lambda: WaterForm(initial={"tested_on": timezone.localdate()}),
            bound,
            "water_test",
        ),
    }
    return render(request, "mixing/water.html", context)


@require_POST
@allow("water.test")
def water_test(request: HttpRequest) -> HttpResponse:
    """Keep a test of the water."""
    return press(
        request,
        keep_water_test,
        form=WaterForm(request.POST),
        page=lambda bound: _water_page(request, bound),
        then=reverse("mixing:water"),
    )
