"""One car on two rows of the list of cars: it is taken in once."""

from __future__ import annotations

import pytest

from jobs.bookings.arrival_actions import take_in_car
from shopapp.frame import Refused
from tests.jobs.taps import do
from tests.makers import VIN, make_booking, make_customer, make_person, make_vehicle

pytestmark = pytest.mark.django_db


@pytest.fixture
def desk():
    return make_person("desk", username="ben")


def booked(plate, vin, name="Robin Ash", **more):
    owner = make_customer(name)
    return make_booking(vehicle=make_vehicle(owner, plate=plate, vin=vin, **more))


@pytest.mark.parametrize(
    ("one", "other"),
    [
        (("SDW 2207", VIN), ("sdw-2207", "")),
        (("SDW 2207", ""), ("SDW2207", "")),
        (("SDW 2207", VIN), ("", VIN)),
        (("SDW 2207", VIN), ("NEW 1", VIN)),
    ],
)
def test_its_other_row_cannot_be_taken_in_while_it_is_here(desk, one, other):
    here = booked(*one)
    twin = booked(*other, name="Robin Ash-Vale")
    do(desk, take_in_car, booking_pk=here.pk)
    with pytest.raises(Refused) as refused:
        do(desk, take_in_car, booking_pk=twin.pk)
    said, twice = map(str, refused.value.reasons)
    assert "in already" in said
    assert "stands twice in the list of cars, once with Robin Ash" in twice


def test_another_vin_is_another_car_under_one_trade_plate(desk):
    here = booked("DLR 1", VIN)
    other = booked("DLR 1", "1G4AH59H45G118341", name="Kim Vale")
    do(desk, take_in_car, booking_pk=here.pk)
    assert do(desk, take_in_car, booking_pk=other.pk)


def test_two_customers_may_have_the_same_stock_number(desk):
    here = booked("", "", stock_number="N-1")
    other = booked("", "", name="Kim Vale", stock_number="N-1")
    do(desk, take_in_car, booking_pk=here.pk)
    assert do(desk, take_in_car, booking_pk=other.pk)
