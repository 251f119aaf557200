"""Every URL of the shop: the building's own, then the two apps'."""

from __future__ import annotations

from django.urls import URLPattern, URLResolver, include, path

from shopapp import views

building = [
    path("", views.home, name="home"),
    path("sign-in/", views.sign_in, name="sign_in"),
    path("sign-out/", views.sign_out, name="sign_out"),
    path("switch/", views.switch, name="switch"),
    path("live/ticket/<slug:channel>/", views.live_ticket, name="live_ticket"),
    path("files/<slug:sha256>/", views.file, name="file"),
    path("figures/<str:made_by>/", views.figure, name="figure"),
    path("trust/", views.trust, name="trust"),
    path("trust/shop-ca.crt", views.trust_certificate, name="trust_certificate"),
    path("healthz", views.healthz, name="healthz"),
    path("readyz", views.readyz, name="readyz"),
]

urlpatterns: list[URLPattern | URLResolver] = [
    path("", include((building, "shopapp"))),
    path("", include("jobs.urls")),
    path("", include("mixing.urls")),
]
