"""Every URL of the shop: the building's own, then the two apps'."""

from __future__ import annotations

from django.urls import URLPattern, URLResolver, include, path

from shopapp import open_day_pages, settings_views, views

building = [
    path("", views.home, name="home"),
    path("sign-in/", views.sign_in, name="sign_in"),
    path("sign-out/", views.sign_out, name="sign_out"),
    path("switch/", views.switch, name="switch"),
    path("press-again/<slug:token>/", views.press_again, name="press_again"),
    path("live/ticket/<slug:channel>/", views.live_ticket, name="live_ticket"),
    path("files/<slug:sha256>/", views.file, name="file"),
    path("figures/<str:made_by>/", views.figure, name="figure"),
    path("trust/", views.trust, name="trust"),
    path("trust/shop-ca.crt", views.trust_certificate, name="trust_certificate"),
    path("own/", settings_views.own, name="own"),
    path("own/change/", settings_views.own_change, name="own_change"),
    # what managers set
    path("settings/", settings_views.settings, name="settings"),
    path("settings/shop/", settings_views.shop_settings, name="shop_settings"),
    path("settings/shop/change/", settings_views.shop_change, name="shop_change"),
    path("settings/open-days/", open_day_pages.open_days, name="open_days"),
    path(
        "settings/open-days/change/",
        open_day_pages.open_days_change,
        name="open_days_change",
    ),
    path("settings/holidays/add/", open_day_pages.holiday_add, name="holiday_add"),
    path(
        "settings/holidays/<int:pk>/remove/",
        open_day_pages.holiday_remove,
        name="holiday_remove",
    ),
    path("settings/places/", settings_views.places, name="places"),
    path("settings/places/add/", settings_views.place_add, name="place_add"),
    path(
        "settings/places/<int:pk>/change/",
        settings_views.place_change,
        name="place_change",
    ),
    path("settings/people/", settings_views.people, name="people"),
    path("settings/people/add/", settings_views.person_add, name="person_add"),
    path(
        "settings/people/<int:pk>/", settings_views.person_detail, name="person_detail"
    ),
    path(
        "settings/people/<int:pk>/change/",
        settings_views.person_change,
        name="person_change",
    ),
    path(
        "settings/people/<int:pk>/renew/<slug:what>/",
        settings_views.person_renew,
        name="person_renew",
    ),
    path("settings/changes/", settings_views.settings_changes, name="settings_changes"),
    path("settings/look/", settings_views.look, name="look"),
    path("healthz", views.healthz, name="healthz"),
    path("readyz", views.readyz, name="readyz"),
]

urlpatterns: list[URLPattern | URLResolver] = [
    path("", include((building, "shopapp"))),
    path("", include("jobs.urls")),
    path("", include("mixing.urls")),
]
