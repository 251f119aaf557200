"""Film that a booking needs: on the width that the shop really has."""

from __future__ import annotations

import pytest

from jobs.coverage.catalogue import Body, PanelChoice
from jobs.coverage.measured import Car
from jobs.film.need_queries import film_need, widths_there
from tests.makers import make_film, make_roll

pytestmark = pytest.mark.django_db
SEDAN = Car(make="", model="", body=Body.SEDAN, year=None)


def need(film, panel):
    return film_need([PanelChoice(panel=panel)], film=film, size_class="D", car=SEDAN)


@pytest.fixture
def film():
    """Little is left of the wide roll; the narrow ones hold the film."""
    film = make_film()
    make_roll(film, code="R1", width_mm=1829, left_mm=1400)
    make_roll(film, code="R2", width_mm=1524, left_mm=9000)
    make_roll(film, code="R3", width_mm=1524, left_mm=9000)
    return film


def test_film_is_reserved_on_the_width_that_most_of_it_lies_on(film):
    assert widths_there(film) == [1524, 1829]
    assert need(film, "hood").width_mm == 1524


def test_a_panel_too_wide_for_it_is_reserved_on_the_widest_roll(film):
    film.rolls.filter(width_mm=1524).update(width_mm=600)
    found = need(film, "hood")
    assert (found.width_mm, found.unplaced) == (1829, ())


def test_a_film_without_rolls_is_reserved_on_the_usual_width():
    assert widths_there(make_film()) == [1524]
