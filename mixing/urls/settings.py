"""What a manager sets: bays and their air, the local code, safety rules."""

from __future__ import annotations

from django.urls import URLPattern, path

from mixing.air.actions import change_air, change_bay
from mixing.air.bay_forms import BayForm, LocalCodeForm
from mixing.air.bay_pages import bay_detail, bays, local_code
from mixing.air.forms import AirForm
from mixing.air.pages import air
from mixing.models import RuleSet
from mixing.rule_sets.actions import add_rule_set, change_rule_set
from mixing.rule_sets.forms import RuleSetAddForm
from mixing.rule_sets.pages import (
    rule_set_detail,
    rule_set_form,
    rule_set_version,
    rule_sets,
)
from shopapp.actions import change_shop
from shopapp.buttons import button
from shopapp.models import Bay
from shopapp.rows import by_pk, page_of_made
from shopapp.say import say

KEPT = say("Kept.")

urlpatterns: list[URLPattern] = [
    path("bays/", bays, name="bays"),
    path(
        "bays/add/",
        button(
            change_bay, page=bays, form=BayForm, then=page_of_made("mixing:bay_detail")
        ),
        name="bay_add",
    ),
    path("bays/<int:pk>/", bay_detail, name="bay_detail"),
    path(
        "bays/<int:pk>/change/",
        button(
            change_bay,
            page=bay_detail,
            on=by_pk(Bay, "bay_pk"),
            form=BayForm,
            told=KEPT,
        ),
        name="bay_change",
    ),
    path("local-code/", local_code, name="local_code"),
    path(
        "local-code/change/",
        button(change_shop, page=local_code, form=LocalCodeForm, told=KEPT),
        name="local_code_change",
    ),
    path("vapor/", air, name="air"),
    path(
        "vapor/change/",
        button(change_air, page=air, form=AirForm, told=KEPT),
        name="air_change",
    ),
    path("safety-rules/", rule_sets, name="rule_sets"),
    path(
        "safety-rules/add/",
        button(
            add_rule_set,
            page=rule_sets,
            form=RuleSetAddForm,
            then=page_of_made("mixing:rule_set_detail"),
        ),
        name="rule_set_add",
    ),
    path("safety-rules/<int:pk>/", rule_set_detail, name="rule_set_detail"),
    path(
        "safety-rules/<int:pk>/change/",
        button(
            change_rule_set,
            page=rule_set_detail,
            on=by_pk(RuleSet, "rule_set_pk"),
            form=rule_set_form,
            told=say("Kept as a new version. Pages follow it from now on."),
        ),
        name="rule_set_change",
    ),
    path("safety-rules/versions/<int:pk>/", rule_set_version, name="rule_set_version"),
]
