"""A saved booking is reckoned for its own car, as it was while it was booked."""

from __future__ import annotations

import pytest

from jobs.bookings.figure_queries import figures_of
from jobs.models import Booking, MeasuredPanel
from tests.makers import NOW, make_film, make_roll

pytestmark = pytest.mark.django_db

TYPED = {
    "key": "k" * 16,
    "name": "Robin Ash",
    "phone": "555-0101",
    "plate": "tst 101",
    "make": "Example",
    "model": "Saloon",
    "year": "2026",
    "size_class": "D",
    "body": "sedan",
    "package": "full_front",
    "package_shown": "",
    "method": "hand_fitted",
    "arrives_at": "2031-05-07T09:00",
    "promised_at": "2031-05-09T16:00",
    "price": "1800",
}


def measure_small_panels(**of_car):
    """Panels of a car like ours but for its make or years, far smaller."""
    known = {"make": "Example", "model": "Saloon", "body": "sedan", **of_car}
    for panel in ("hood", "front_bumper", "fender_left", "fender_right"):
        MeasuredPanel.objects.create(
            panel=panel, length_mm=300, width_mm=400, measured_at=NOW, **known
        )


@pytest.mark.parametrize(
    "other",
    [{"year_from": 2010, "year_to": 2014}, {"make": "Another"}],
    ids=["other years", "other make"],
)
def test_a_saved_booking_needs_the_film_that_the_form_held_for_it(other, client, desk):
    film = make_film()
    make_roll(film)
    measure_small_panels(**other)
    client.force_login(desk)
    answer = client.post("/bookings/make/", {**TYPED, "film": film.pk})
    assert answer.status_code == 303
    booking = Booking.objects.get()
    figures = figures_of(booking)
    assert figures is not None
    assert figures.need.length_mm == booking.reservation.length_mm
