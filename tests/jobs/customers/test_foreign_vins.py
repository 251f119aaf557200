"""A car from anywhere is saved at once; a model year only where the number says it."""

from __future__ import annotations

import pytest

from jobs.customers.forms import VehicleFields
from jobs.models import Vehicle

pytestmark = pytest.mark.django_db
CAR = {
    "model": "coupe",
    "body": "coupe",
    "size_class": "D",
    "finish": Vehicle.Finish.values[0],
}


def saved(vin: str, **facts: str) -> dict:
    """What a form with this VIN keeps."""
    form = VehicleFields({**CAR, "vin": vin, **facts})
    assert form.is_valid(), form.errors.as_text()
    return form.cleaned_data


# Made-up numbers of the forms that are usual in Korea and in Europe; their ninth
# characters are no check digits by 49 CFR 565.
@pytest.mark.parametrize("vin", ["KLATF08Y1VB363636", "WVWZZZ1KZ6W000001"])
def test_a_car_of_elsewhere_is_saved_without_a_reason(vin):
    assert saved(vin)["vin"] == vin


def test_a_north_american_number_that_does_not_fit_still_asks():
    form = VehicleFields({**CAR, "vin": "1M8GDM9AYKP042788"})
    assert "vin_reason" in form.errors


def test_a_foreign_number_that_fits_by_chance_says_no_year():
    assert saved("WDD2050021F123454")["year"] is None


@pytest.mark.parametrize(
    ("vin", "body", "year"),
    [
        # 49 CFR 565, sample calculation: 2005 by positions 10 and 7.
        ("1G4AH59H45G118341", "sedan", 2005),
        # The same number on a van, which may be over 4536 kg: 2005 or 2035.
        ("1G4AH59H45G118341", "van", None),
    ],
)
def test_the_year_is_taken_where_position_7_decides(vin, body, year):
    assert saved(vin, body=body)["year"] == year


def test_no_year_that_is_still_to_come_is_offered(client, desk):
    client.force_login(desk)
    answer = client.post("/vehicles/vin/", {"vin": "WP0ZZZ99Z6S392124"})
    page = answer.content.decode()
    assert "2006" in page
    assert "2036" not in page


def test_a_tenth_character_that_stands_for_no_year_offers_none(client, desk):
    client.force_login(desk)
    page = client.post("/vehicles/vin/", {"vin": "WVWZZZ1KZZW000001"}).content.decode()
    assert "year" not in page.lower()
