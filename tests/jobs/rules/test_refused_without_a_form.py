"""A button pressed without its form hears the same range as the field."""

from __future__ import annotations

from decimal import Decimal

import pytest

from jobs.additions.actions import add_work
from jobs.air.prep_actions import use_prep
from jobs.checks.actions import add_mark
from jobs.film.actions import change_film, order_film, receive_roll
from jobs.film.offcut_actions import keep_offcut
from jobs.prices.actions import set_prices
from mixing.air.actions import change_bay
from mixing.bench.actions import change_vessel
from mixing.models import Chemical, Substance
from mixing.shelf.actions import change_chemical, keep_water_test, receive_stock
from shopapp.actions import change_place
from shopapp.frame import Refused, perform
from tests.makers import make_film, make_roll, make_tap, make_workorder

pytestmark = pytest.mark.django_db


def order() -> dict:
    return {"workorder_pk": make_workorder().pk}


def wipe() -> Chemical:
    return Chemical.objects.create(name="wipe", substance=Substance.WIPE)


PRESSES = {
    "a bottle of a tonne": lambda: (
        change_vessel,
        "capacity_ml",
        {
            **{"code": "S9", "kind": "slip", "form": "bottle"},
            **{"capacity_ml": 1e6, "usable_ml": 950.0},
        },
    ),
    "a can of a thousand litres": lambda: (
        receive_stock,
        "capacity_ml",
        {"chemical": wipe(), "code": "C9", "capacity_ml": 1e6},
    ),
    "water of solid salt": lambda: (
        keep_water_test,
        "tds_mg_per_l",
        {"source": "tap", "tds_mg_per_l": 9e5},
    ),
    "a liquid as heavy as lead": lambda: (
        change_chemical,
        "density_g_per_ml",
        {"name": "x", "substance": "soap", "density_g_per_ml": 11.3},
    ),
    "a bay of a kilometre": lambda: (
        change_bay,
        "length_m",
        {"name": "Long", "length_m": 1000.0, "position": 1},
    ),
    "a yard for a million": lambda: (
        change_place,
        "room_for",
        {"name": "Field", "kind": "yard", "room_for": 1_000_000},
    ),
    "a mark longer than any car": lambda: (
        add_mark,
        "size_mm",
        {**order(), "panel": "hood", "kind": "scratch", "size_mm": 30_000},
    ),
    "work of a month": lambda: (
        add_work,
        "minutes",
        {
            **{**order(), "name": "correction", "minutes": 30_000},
            **{"when": "before", "skill": "prep"},
        },
    ),
    "a roll as wide as a road": lambda: (
        receive_roll,
        "width_mm",
        {
            **{"film": make_film(), "code": "R9", "lot": ""},
            **{"width_mm": 15_240, "length_mm": 15_000},
        },
    ),
    "ten kilometres ordered": lambda: (
        order_film,
        "length_mm",
        {"film_pk": make_film().pk, "width_mm": 1524, "length_mm": 10**7},
    ),
    "an off-cut of fifty metres": lambda: (
        keep_offcut,
        "length_mm",
        {
            "roll_pk": make_roll(left_mm=100_000).pk,
            "width_mm": 500,
            "length_mm": 50_000,
        },
    ),
    "a film that cures for a year": lambda: (
        change_film,
        "cure_h",
        {"film_pk": make_film().pk, "facts": {"code": "FA", "cure_h": 9000.0}},
    ),
    "wipe by the barrel": lambda: (
        use_prep,
        "litres",
        {**order(), "chemical": wipe(), "litres": 50.0},
    ),
    "a price below nothing": lambda: (
        set_prices,
        "hour",
        {"prices": {"hour": Decimal(-5)}, "labels": {"hour": "An hour"}},
    ),
}


@pytest.mark.parametrize("name", PRESSES)
def test_a_number_that_cannot_be_meant_is_refused_at_its_name(name, manager):
    press, field, facts = PRESSES[name]()
    refused, told = "", ""
    try:
        perform(make_tap(manager), press, **facts)
    except Refused as no:
        refused, told = no.field, str(no)
    assert (refused, told[:6]) == (field, "Enter ")
