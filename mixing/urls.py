"""Addresses of the bottle's path: nouns, then a verb for a POST."""

from __future__ import annotations

from django.urls import URLPattern, URLResolver, path

from mixing.views import (
    air,
    bays,
    bench,
    chemicals,
    flash_points,
    recipes,
    rule_sets,
    settings,
    stock,
    vessels,
)

app_name = "mixing"
urlpatterns: list[URLPattern | URLResolver] = [
    path("mixing/", bench.bench, name="bench"),
    path("mixing/vessels/empty/", bench.vessels_empty, name="vessels_empty"),
    path("mixing/batches/<int:pk>/", bench.batch_detail, name="batch_detail"),
    path("mixing/vessels/", bench.vessels, name="vessels"),
    path("mixing/vessels/add/", bench.vessel_add, name="vessel_add"),
    path("mixing/kinds/mark/", bench.kind_mark, name="kind_mark"),
    path("mixing/vessels/<str:code>/", vessels.vessel_detail, name="vessel_detail"),
    path(
        "mixing/vessels/<str:code>/change/", vessels.vessel_change, name="vessel_change"
    ),
    path(
        "mixing/vessels/<str:code>/retire/", vessels.vessel_retire, name="vessel_retire"
    ),
    path(
        "mixing/vessels/<str:code>/rinsed/", vessels.vessel_rinsed, name="vessel_rinsed"
    ),
    path(
        "mixing/vessels/<str:code>/unknown/",
        vessels.vessel_unknown,
        name="vessel_unknown",
    ),
    path("mixing/recipes/", recipes.recipes, name="recipes"),
    path("mixing/recipes/<int:pk>/", recipes.recipe_detail, name="recipe_detail"),
    path("mixing/recipes/<int:pk>/look/", recipes.recipe_look, name="recipe_look"),
    path(
        "mixing/recipes/<int:pk>/change/", recipes.recipe_change, name="recipe_change"
    ),
    # what was measured of a mix
    path("mixing/flash-points/", flash_points.flash_points, name="flash_points"),
    path(
        "mixing/recipes/<int:pk>/flash-points/",
        flash_points.recipe_flash_points,
        name="recipe_flash_points",
    ),
    path(
        "mixing/recipes/<int:pk>/flash-points/enter/",
        flash_points.flash_point_enter,
        name="flash_point_enter",
    ),
    path(
        "mixing/flash-points/<int:pk>/withdraw/",
        flash_points.flash_point_withdraw,
        name="flash_point_withdraw",
    ),
    path("mixing/stock/", stock.stock, name="stock"),
    path("mixing/stock/receive/", stock.stock_receive, name="stock_receive"),
    path("mixing/chemicals/name/", stock.chemical_name, name="chemical_name"),
    path("mixing/chemicals/add/", stock.chemical_add, name="chemical_add"),
    path("mixing/stock/<str:code>/", stock.container_detail, name="container_detail"),
    path("mixing/stock/<str:code>/open/", stock.container_open, name="container_open"),
    path(
        "mixing/stock/<str:code>/count/", stock.container_count, name="container_count"
    ),
    path(
        "mixing/stock/<str:code>/discard/",
        stock.container_discard,
        name="container_discard",
    ),
    # where it stands, and what its data sheet says
    path(
        "mixing/stock/<str:code>/storage/",
        chemicals.container_storage,
        name="container_storage",
    ),
    path(
        "mixing/stock/<str:code>/change/",
        chemicals.container_change,
        name="container_change",
    ),
    path("mixing/chemicals/", chemicals.chemicals, name="chemicals"),
    path(
        "mixing/chemicals/<int:pk>/", chemicals.chemical_detail, name="chemical_detail"
    ),
    path(
        "mixing/chemicals/<int:pk>/change/",
        chemicals.chemical_change,
        name="chemical_change",
    ),
    path("mixing/spots/add/", chemicals.spot_add, name="spot_add"),
    path("mixing/spots/<int:pk>/change/", chemicals.spot_change, name="spot_change"),
    # what a manager sets
    path("settings/bays/", bays.bays, name="bays"),
    path("settings/bays/add/", bays.bay_add, name="bay_add"),
    path("settings/bays/<int:pk>/", bays.bay_detail, name="bay_detail"),
    path("settings/bays/<int:pk>/change/", bays.bay_change, name="bay_change"),
    path("settings/local-code/", bays.local_code, name="local_code"),
    path(
        "settings/local-code/change/", bays.local_code_change, name="local_code_change"
    ),
    path("settings/vapor/", air.air, name="air"),
    path("settings/vapor/change/", air.air_change, name="air_change"),
    path("settings/safety-rules/", rule_sets.rule_sets, name="rule_sets"),
    path("settings/safety-rules/add/", rule_sets.rule_set_add, name="rule_set_add"),
    path(
        "settings/safety-rules/<int:pk>/",
        rule_sets.rule_set_detail,
        name="rule_set_detail",
    ),
    path(
        "settings/safety-rules/<int:pk>/change/",
        rule_sets.rule_set_change,
        name="rule_set_change",
    ),
    path(
        "settings/safety-rules/versions/<int:pk>/",
        rule_sets.rule_set_version,
        name="rule_set_version",
    ),
    path("mixing/dispensers/", stock.dispensers, name="dispensers"),
    path("mixing/dispensers/add/", stock.dispenser_add, name="dispenser_add"),
    path(
        "mixing/dispensers/<int:pk>/change/",
        stock.dispenser_change,
        name="dispenser_change",
    ),
    path(
        "mixing/dispensers/<int:pk>/calibrate/",
        stock.dispenser_calibrate,
        name="dispenser_calibrate",
    ),
    path(
        "mixing/dispensers/<int:pk>/weigh/",
        stock.dispenser_weigh,
        name="dispenser_weigh",
    ),
    path("mixing/settings/", settings.bench_settings, name="bench_settings"),
    path("mixing/settings/change/", settings.bench_change, name="bench_change"),
    path("mixing/water/", stock.water, name="water"),
    path("mixing/water/test/", stock.water_test, name="water_test"),
]
