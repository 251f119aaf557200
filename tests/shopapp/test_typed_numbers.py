"""Numbers as people write them are understood, or asked about: never changed."""

from __future__ import annotations

from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError
from hypothesis import given
from hypothesis import strategies as st

from jobs.bookings.forms import BookingForm
from jobs.customers.forms import VehicleForm
from mixing.bench.forms import CalibrateForm
from mixing.shelf.forms import CountForm, PercentField
from shopapp.amounts import Amount, Money
from shopapp.models import Shop

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _shop() -> None:
    Shop.objects.get_or_create(pk=1)


def test_a_thousand_with_a_comma_is_asked_about_and_not_kept_as_one():
    form = CountForm({"left_ml": "1,200"})
    assert not form.is_valid(), form.cleaned_data
    (sentence,) = form.errors["left_ml"]
    assert "1200" in sentence
    assert "1.2000" in sentence


@pytest.mark.parametrize(
    ("typed", "meant"), [("1 200", 1200), ("1.200,5", 1200.5), ("1,200.5", 1200.5)]
)
def test_an_amount_that_reads_in_one_way_is_understood(typed, meant):
    form = CountForm({"left_ml": typed})
    assert form.is_valid(), form.errors
    assert form.cleaned_data["left_ml"] == meant


@pytest.mark.parametrize(
    "typed", ["1,490.00", "1490,00", "1.490,00", "$1,490", "1 490", "1490 USD"]
)
def test_a_price_in_the_shops_own_print_is_taken(typed):
    assert read(Money(max_digits=9, decimal_places=2), typed) == Decimal(1490)


def read(field, typed):
    """The number that a field reads, or what it says."""
    try:
        return field.clean(typed)
    except ValidationError as refused:
        return refused.messages


def test_the_range_decides_where_only_one_reading_fits():
    assert read(PercentField(), "70,125") == 70.125
    length = Amount(unit="mm", low=100, high=30_000)
    assert read(length, "15,240") == 15_240


def test_a_count_of_drops_with_a_raised_two_is_told_and_no_fault():
    form, fault = CalibrateForm({"counts": "6 ²"}), ""
    try:
        form.full_clean()
    except ValueError as error:
        fault = str(error)
    assert fault == ""
    assert "counts" in form.errors


def test_a_year_of_the_far_future_is_refused():
    typed = {"model": "coupe", "year": "2038", "body": "sedan", "size_class": "mid_car"}
    assert "year" in VehicleForm(typed).errors


SIGNS = st.sampled_from([",", ".", " ", "'", "\u00a0", "\u202f"])


@given(number=st.integers(1000, 999_999_999), sign=SIGNS)
def test_grouped_thousands_are_never_read_as_decimals(number, sign):
    typed = f"{number:,}".replace(",", sign)
    assert Money(max_digits=12, decimal_places=2).clean(typed) == number


@given(cents=st.integers(100_000, 99_999_999), american=st.booleans())
def test_grouped_thousands_with_cents_read_the_same_on_both_sides_of_the_sea(
    cents, american
):
    typed = f"{cents / 100:,.2f}"
    if not american:
        typed = typed.translate(str.maketrans(",.", ".,"))
    assert Money(max_digits=12, decimal_places=2).clean(typed) == Decimal(cents) / 100


def test_minutes_of_added_work_may_be_grouped():
    form = BookingForm({"work_1_minutes": "1,200"})
    assert "work_1_minutes" not in form.errors
