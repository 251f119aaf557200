"""Addresses of the bottle's path: nouns, then a verb for a POST."""

from __future__ import annotations

from django.urls import URLPattern, URLResolver, include, path

app_name = "mixing"
urlpatterns: list[URLPattern | URLResolver] = [
    path("mixing/", include("mixing.urls.bench")),
    path("mixing/", include("mixing.urls.recipes")),
    path("mixing/", include("mixing.urls.stock")),
    path("settings/", include("mixing.urls.settings")),
]
