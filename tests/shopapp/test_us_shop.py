"""A US shop reads every amount in units that it uses."""

from __future__ import annotations

from decimal import Decimal

import pytest

from jobs.film.forms import FilmForm
from jobs.models import Film
from jobs.solutions.actions import make_sheet
from jobs.stages.table import Stage
from mixing.sheet.queries import sheet_of
from shopapp.frame import perform
from shopapp.models import Shop
from shopapp.telling import tell
from shopapp.units import System, shown
from tests.makers import (
    make_bench,
    make_booking,
    make_film,
    make_reading,
    make_roll,
    make_tap,
    make_workorder,
)

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _us_shop() -> None:
    Shop.objects.update_or_create(pk=1, defaults={"units": "us"})


def test_what_is_poured_with_a_jug_marked_in_ml_is_told_in_ml(installer):
    make_bench()
    order = make_workorder(stage=Stage.INSTALL)
    make_reading(order, installer)
    perform(make_tap(installer), make_sheet, workorder_pk=order.pk)
    solutions = sheet_of(order.sheets.first().facts).solutions
    pours = [p for found in solutions for fill in found.fills for p in fill.pours]
    told = {tell(pour.how, system=System.US) for pour in pours}
    by_jug = [sentence for sentence in told if " jug" in sentence]
    assert by_jug
    assert [sentence for sentence in by_jug if "fl oz" in sentence] == []


def test_a_length_of_film_is_told_in_feet_and_inches(client, manager):
    roll = make_roll(make_film())
    client.force_login(manager)
    booking = make_booking(manager, film=roll.film)
    page = client.get(f"/bookings/{booking.pk}/").content.decode()
    needed = page.partition("Film needed")[2][:400]
    assert " ft" in needed, needed


def test_feet_have_no_decimals():
    # 5.74 m / 0.3048 m: 18.83 ft, 18 ft and 10 in.
    assert str(shown(5.74, "m", system=System.US)) == "18 ft 10 in"


def test_the_cost_of_film_is_asked_for_a_square_foot():
    typed = {"code": "FA", "name": "film A", "finish": "gloss", "cost_per_m2": "4.32"}
    typed |= {"price_factor": "1", "wash_after_days": "7"}
    form = FilmForm(typed)
    assert "ft²" in str(form["cost_per_m2"].label)
    form.full_clean()
    # 4.32 / 0.09290304 = 46.50.
    facts = form.cleaned_data.get("facts", form.cleaned_data)
    assert facts["cost_per_m2"] == Decimal("46.50"), form.errors
    again = FilmForm(initial={"cost_per_m2": Decimal("46.50")})
    assert str(again["cost_per_m2"].value()) == "4.32"
    assert not Film.objects.exists()
