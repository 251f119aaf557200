"""Every URL of the shop: the building's own, then the two apps'."""

from __future__ import annotations

from functools import partial

from django.urls import URLPattern, URLResolver, include, path

from shopapp import settings_views, views
from shopapp.actions import change_person, change_place, change_shop
from shopapp.backups.actions import ask_backup, change_backup_rule
from shopapp.backups.forms import BackupRuleForm
from shopapp.backups.pages import backups
from shopapp.buttons import button
from shopapp.device_actions import (
    end_own_sign_in,
    enrol_device,
    revoke_device,
    stop_sign_in,
)
from shopapp.device_pages import EnrolForm, device, sign_ins
from shopapp.first_manager import first_manager
from shopapp.models import Device, Holiday, Person, Place, SignIn
from shopapp.open_day_actions import add_holiday, change_open_days, remove_holiday
from shopapp.open_day_pages import HolidayForm, WeekForm, open_days
from shopapp.rows import by_pk
from shopapp.say import say
from shopapp.settings_forms import KnownPersonForm, PersonForm, PlaceForm, ShopForm
from shopapp.settings_views import (
    own,
    people,
    person_detail,
    places,
    shop_settings,
    to_new_person,
)

kept = partial(button, told=say("Kept."))
on_open_days = partial(kept, page=open_days)
keep_place = partial(kept, change_place, page=places, form=PlaceForm)

building = [
    path("", views.home, name="home"),
    path("sign-in/", views.sign_in, name="sign_in"),
    path("first-manager/", first_manager, name="first_manager"),
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
    path(
        "own/sign-ins/<int:pk>/end/",
        button(
            end_own_sign_in,
            page=own,
            on=by_pk(SignIn, "sign_in_pk"),
            told=say("That sign-in is ended."),
        ),
        name="own_sign_in_end",
    ),
    path("password/", views.give_password, name="give_password"),
    # what managers set
    path("settings/", settings_views.settings, name="settings"),
    path("settings/shop/", shop_settings, name="shop_settings"),
    path(
        "settings/shop/change/",
        kept(change_shop, page=shop_settings, form=ShopForm),
        name="shop_change",
    ),
    path("settings/open-days/", open_days, name="open_days"),
    path(
        "settings/open-days/change/",
        on_open_days(change_open_days, form=WeekForm),
        name="open_days_change",
    ),
    path(
        "settings/holidays/add/",
        on_open_days(add_holiday, form=HolidayForm),
        name="holiday_add",
    ),
    path(
        "settings/holidays/<int:pk>/remove/",
        on_open_days(remove_holiday, on=by_pk(Holiday, "holiday_pk")),
        name="holiday_remove",
    ),
    path("settings/backups/", backups, name="backups"),
    path(
        "settings/backups/change/",
        kept(change_backup_rule, page=backups, form=BackupRuleForm),
        name="backup_rule_change",
    ),
    path("settings/backups/ask/", button(ask_backup, page=backups), name="backup_ask"),
    path("settings/places/", places, name="places"),
    path("settings/places/add/", keep_place(), name="place_add"),
    path(
        "settings/places/<int:pk>/change/",
        keep_place(on=by_pk(Place, "place_pk")),
        name="place_change",
    ),
    path("settings/people/", people, name="people"),
    path(
        "settings/people/add/",
        button(change_person, page=people, form=PersonForm, then=to_new_person),
        name="person_add",
    ),
    path("settings/people/<int:pk>/", person_detail, name="person_detail"),
    path(
        "settings/people/<int:pk>/change/",
        kept(
            change_person,
            page=person_detail,
            on=by_pk(Person, "person_pk"),
            form=KnownPersonForm,
        ),
        name="person_change",
    ),
    path(
        "settings/people/<int:pk>/renew/<slug:what>/",
        settings_views.person_renew,
        name="person_renew",
    ),
    path("settings/sign-ins/", sign_ins, name="sign_ins"),
    path(
        "settings/sign-ins/<int:pk>/stop/",
        button(
            stop_sign_in,
            page=sign_ins,
            on=by_pk(SignIn, "sign_in_pk"),
            told=say("That sign-in is ended."),
        ),
        name="sign_in_stop",
    ),
    path("settings/devices/<int:pk>/", device, name="device"),
    path(
        "settings/devices/<int:pk>/enrol/",
        kept(enrol_device, page=device, on=by_pk(Device, "device_pk"), form=EnrolForm),
        name="device_enrol",
    ),
    path(
        "settings/devices/<int:pk>/revoke/",
        kept(revoke_device, page=device, on=by_pk(Device, "device_pk")),
        name="device_revoke",
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
