"""Addresses of the bottle's path: nouns, then a verb for a POST."""

from __future__ import annotations

from django.urls import URLPattern, URLResolver, path

from mixing.views import bench, recipes, stock

app_name = "mixing"
urlpatterns: list[URLPattern | URLResolver] = [
    path("mixing/", bench.bench, name="bench"),
    path("mixing/vessels/empty/", bench.vessels_empty, name="vessels_empty"),
    path("mixing/batches/<int:pk>/", bench.batch_detail, name="batch_detail"),
    path("mixing/vessels/", bench.vessels, name="vessels"),
    path("mixing/vessels/add/", bench.vessel_add, name="vessel_add"),
    path("mixing/kinds/mark/", bench.kind_mark, name="kind_mark"),
    path("mixing/vessels/<str:code>/", bench.vessel_detail, name="vessel_detail"),
    path(
        "mixing/vessels/<str:code>/change/", bench.vessel_change, name="vessel_change"
    ),
    path(
        "mixing/vessels/<str:code>/retire/", bench.vessel_retire, name="vessel_retire"
    ),
    path("mixing/recipes/", recipes.recipes, name="recipes"),
    path("mixing/recipes/<int:pk>/", recipes.recipe_detail, name="recipe_detail"),
    path("mixing/recipes/<int:pk>/look/", recipes.recipe_look, name="recipe_look"),
    path(
        "mixing/recipes/<int:pk>/change/", recipes.recipe_change, name="recipe_change"
    ),
    path("mixing/stock/", stock.stock, name="stock"),
    path("mixing/stock/receive/", stock.stock_receive, name="stock_receive"),
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
    path("mixing/water/", stock.water, name="water"),
    path("mixing/water/test/", stock.water_test, name="water_test"),
]
