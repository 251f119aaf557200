"""The bench: vessels, batches, dispensers, the water, and how it is all set."""

from __future__ import annotations

from functools import partial

from django.urls import URLPattern, path

from mixing.bench.actions import (
    change_vessel,
    empty_vessels,
    find_unknown,
    mark_kind,
    retire_vessel,
)
from mixing.bench.forms import (
    CalibrateForm,
    DispenserForm,
    ShapeForm,
    VesselForm,
    WaterForm,
    WeighForm,
)
from mixing.bench.pages import batch_detail, bench, empty_form, vessels
from mixing.bench.row_pages import vessel
from mixing.bench.settings_actions import change_bench
from mixing.bench.settings_forms import BenchForm
from mixing.bench.settings_pages import bench_settings
from mixing.bench.vessel_pages import rinsed_form, vessel_detail
from mixing.dispensers.actions import (
    calibrate_dropper,
    change_dispenser,
    weigh_dropper,
)
from mixing.dispensers.pages import dispensers
from mixing.models import Dispenser
from mixing.shelf.actions import keep_water_test
from mixing.shelf.water_pages import water
from shopapp.buttons import button
from shopapp.rows import by_pk
from shopapp.say import say

VESSEL = "vessels/<str:code>"
DISPENSER = "dispensers/<int:pk>"
on_vessel = partial(button, page=vessel_detail, on=vessel)
to_vessels = partial(on_vessel, then="mixing:vessels")
# The form names the vessel.
rinse = partial(on_vessel, on=lambda code: {}, form=rinsed_form)
on_dispenser = partial(button, page=dispensers, on=by_pk(Dispenser, "dispenser_pk"))

urlpatterns: list[URLPattern] = [
    path("", bench, name="bench"),
    path(
        "vessels/empty/",
        button(empty_vessels, page=bench, form=empty_form),
        name="vessels_empty",
    ),
    path("batches/<int:pk>/", batch_detail, name="batch_detail"),
    path("vessels/", vessels, name="vessels"),
    path(
        "vessels/add/",
        button(change_vessel, page=vessels, form=VesselForm),
        name="vessel_add",
    ),
    path(
        "kinds/mark/",
        button(mark_kind, page=vessels, form=ShapeForm),
        name="kind_mark",
    ),
    path(f"{VESSEL}/", vessel_detail, name="vessel_detail"),
    path(
        f"{VESSEL}/change/",
        to_vessels(change_vessel, form=VesselForm),
        name="vessel_change",
    ),
    path(f"{VESSEL}/retire/", to_vessels(retire_vessel), name="vessel_retire"),
    path(f"{VESSEL}/rinsed/", rinse(empty_vessels), name="vessel_rinsed"),
    path(f"{VESSEL}/unknown/", on_vessel(find_unknown), name="vessel_unknown"),
    path("dispensers/", dispensers, name="dispensers"),
    path(
        "dispensers/add/",
        button(change_dispenser, page=dispensers, form=DispenserForm),
        name="dispenser_add",
    ),
    path(
        f"{DISPENSER}/change/",
        on_dispenser(change_dispenser, form=DispenserForm),
        name="dispenser_change",
    ),
    path(
        f"{DISPENSER}/calibrate/",
        on_dispenser(calibrate_dropper, form=CalibrateForm),
        name="dispenser_calibrate",
    ),
    path(
        f"{DISPENSER}/weigh/",
        on_dispenser(weigh_dropper, form=WeighForm),
        name="dispenser_weigh",
    ),
    path("settings/", bench_settings, name="bench_settings"),
    path(
        "settings/change/",
        button(
            change_bench,
            page=bench_settings,
            form=BenchForm,
            told=say("Kept. Sheets made from now on follow it."),
        ),
        name="bench_change",
    ),
    path("water/", water, name="water"),
    path(
        "water/test/",
        button(keep_water_test, page=water, form=WaterForm),
        name="water_test",
    ),
]
