"""Found in any spelling: letters and digits only."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from jobs.search.spelling import (
    asked_for,
    customer_keys,
    end_keys,
    holds,
    letters_and_digits,
    number_keys,
    shortened,
    vehicle_keys,
    word_keys,
)

CAR = {
    "plate": "SDW 2207",
    "vin": "1M8GDM9AXKP042788",
    "make": "Example",
    "model": "Grand Tourer",
    "colour": "dark green",
    "stock_number": "N-4711",
}
PLATES = st.text(st.sampled_from("ABCXYZ0123456789"), min_size=3, max_size=8)
MARKS = st.text(st.sampled_from(" -./()"), max_size=2)


@pytest.mark.parametrize(
    "typed",
    [
        *("SDW 2207", "SDW2207", "sdw-2207", "sdw", "2207", "207", "SD W22"),
        *("1M8GDM9AXKP042788", "042788", "kp042788", "1m8g dm9a xkp0 42788"),
        *("example", "grand", "tourer", "grandtourer", "Example Grand", "Tourer dark"),
        *("green 042788", "tourer sdw"),
    ],
)
def test_a_car_is_found_by_whatever_is_typed_of_it(typed: str):
    assert holds(vehicle_keys(**CAR), asked_for(typed))


@pytest.mark.parametrize("typed", ["SDX 2207", "DW22", "22", "ourer", "tourer red"])
def test_a_car_is_not_found_by_what_is_not_its_own(typed: str):
    assert not holds(vehicle_keys(**CAR), asked_for(typed))


@pytest.mark.parametrize(
    "typed",
    [
        *("5550109", "555-0109", "555 0109", "(555) 0109", "0109", "+49 555 0109"),
        *("Zoë Müller-Brandt", "zoe muller", "brandt", "MULLER BRANDT", "müllerbrandt"),
        *("zoe@example.com", "zoe@ex", "brandt 0109"),
    ],
)
def test_a_customer_is_found_by_name_phone_or_mail(typed: str):
    keys = customer_keys(
        name="Zoë Müller-Brandt", phone="555-0109", email="zoe@example.com"
    )
    assert holds(keys, asked_for(typed))


def test_a_phone_with_its_country_is_the_same_phone():
    stored = customer_keys(name="A", phone="+49 151 2345678", email="")
    assert holds(stored, asked_for("0151 2345678"))
    assert not holds(stored, asked_for("0151 2345679"))


@pytest.mark.parametrize(
    "typed", ["W-26-0010", "w260010", "W 26 0010", "0010", "26-0010"]
)
def test_an_order_is_found_by_its_number(typed: str):
    assert holds(number_keys("W-26-0010"), asked_for(typed))
    assert not holds(number_keys("W-26-0011"), asked_for(typed))


@pytest.mark.parametrize("typed", ["", " ", "x", "- . -", "é"])
def test_one_sign_is_not_enough(typed: str):
    assert not asked_for(typed).is_enough


def test_single_letters_beside_words_are_left_out():
    assert asked_for("J Brandt").words == ("BRANDT",)


@given(PLATES, st.data())
def test_marks_and_case_never_matter(plate: str, data: st.DataObject):
    written = "".join(data.draw(MARKS) + sign for sign in plate)
    keys = vehicle_keys(**{**CAR, "plate": written})
    assert holds(keys, asked_for(plate))
    assert holds(keys, asked_for(plate.lower()))
    assert holds(vehicle_keys(**{**CAR, "plate": plate}), asked_for(written))


@given(st.text(max_size=80))
def test_spelling_once_is_spelling_twice(text: str):
    key = letters_and_digits(text)
    assert letters_and_digits(key) == key
    assert all(sign.isalnum() for sign in key)


@given(st.text(max_size=40), st.text(max_size=40))
def test_leaving_out_beginnings_of_others_loses_nothing(one: str, other: str):
    keys = word_keys(one, other) | end_keys(one)
    kept = shortened(keys)
    assert kept <= keys
    assert all(any(k.startswith(key) for k in kept) for key in keys)
