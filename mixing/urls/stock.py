"""The shelf: containers, products with their data sheets, storage spots."""

from __future__ import annotations

from functools import partial

from django.urls import URLPattern, path

from mixing.bench.row_pages import container
from mixing.models import Chemical, StorageSpot
from mixing.shelf.actions import (
    change_chemical,
    count_container,
    discard_container,
    name_chemical,
    open_container,
    receive_stock,
)
from mixing.shelf.chemical_forms import ContainerForm, DataSheetForm, SpotForm
from mixing.shelf.chemical_pages import chemical_detail, chemicals, container_storage
from mixing.shelf.forms import (
    ChemicalForm,
    CountForm,
    DiscardForm,
    NameForm,
    ReceiveForm,
)
from mixing.shelf.pages import container_detail, container_url, named_url, stock
from mixing.shelf.storage_actions import change_container, change_spot
from shopapp.buttons import button
from shopapp.rows import by_pk
from shopapp.say import say

CONTAINER = "stock/<str:code>"
on_shelf = partial(button, page=stock)
on_container = partial(button, page=container_detail, on=container)
keep_spot = partial(
    button, change_spot, page=chemicals, form=SpotForm, told=say("Kept.")
)

urlpatterns: list[URLPattern] = [
    path("stock/", stock, name="stock"),
    path(
        "stock/receive/",
        on_shelf(receive_stock, form=ReceiveForm),
        name="stock_receive",
    ),
    path(
        "chemicals/name/",
        on_shelf(name_chemical, form=NameForm, then=named_url),
        name="chemical_name",
    ),
    path(
        "chemicals/add/",
        on_shelf(change_chemical, form=ChemicalForm),
        name="chemical_add",
    ),
    path(f"{CONTAINER}/", container_detail, name="container_detail"),
    path(f"{CONTAINER}/open/", on_container(open_container), name="container_open"),
    path(
        f"{CONTAINER}/count/",
        on_container(count_container, form=CountForm),
        name="container_count",
    ),
    path(
        f"{CONTAINER}/discard/",
        on_container(discard_container, form=DiscardForm),
        name="container_discard",
    ),
    # where it stands, and what its data sheet says
    path(f"{CONTAINER}/storage/", container_storage, name="container_storage"),
    path(
        f"{CONTAINER}/change/",
        button(
            change_container,
            page=container_storage,
            on=container,
            form=ContainerForm,
            then=container_url,
            told=say("Kept."),
        ),
        name="container_change",
    ),
    path("chemicals/", chemicals, name="chemicals"),
    path("chemicals/<int:pk>/", chemical_detail, name="chemical_detail"),
    path(
        "chemicals/<int:pk>/change/",
        button(
            change_chemical,
            page=chemical_detail,
            on=by_pk(Chemical, "chemical_pk"),
            form=DataSheetForm,
            told=say("Kept."),
        ),
        name="chemical_change",
    ),
    path("spots/add/", keep_spot(), name="spot_add"),
    path(
        "spots/<int:pk>/change/",
        keep_spot(on=by_pk(StorageSpot, "spot_pk")),
        name="spot_change",
    ),
]
