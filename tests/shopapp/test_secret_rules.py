"""Passwords and PINs that would be tried first are refused, and no others."""

from __future__ import annotations

import pytest
from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError
from hypothesis import given
from hypothesis import strategies as st

from shopapp.models import Person
from shopapp.one_time import password_for, pin_for
from shopapp.secret_rules import weak_pin

MIRA = Person(first_name="Mira", last_name="Sole", username="mira")


@pytest.mark.django_db
@pytest.mark.parametrize(
    "word",
    [
        *("short", "elevensigns", "mirasole2026", "Mira-Sole-Mira-Sole"),
        *("mira.mira.2026", "our shop 2026", "aaaaaaaaaaaa", "abababababab"),
        *("123456789012", "abcdefghijklm", "password2026", "Sunshine!2026"),
        "210987654321",
    ],
)
def test_what_is_short_common_repeated_or_a_name_is_refused(word):
    with pytest.raises(ValidationError):
        validate_password(word, MIRA)


@pytest.mark.django_db
@pytest.mark.parametrize(
    "word",
    ["pw-of-the-demo", "three wet words", "mira likes blue tape", "839201746352"],
)
def test_what_is_long_and_of_one_s_own_is_taken(word):
    validate_password(word, MIRA)


@pytest.mark.parametrize(
    "pin",
    [
        *("0000", "1111", "1234", "4321", "7890", "0987", "1212", "0707", "1122"),
        *("1221", "1984", "2007", "123123", "98765", "1231231"),
    ],
)
def test_a_pin_that_is_tried_first_is_refused(pin):
    assert weak_pin(pin=pin)


@pytest.mark.parametrize("pin", ["4711", "2580", "7153", "198472", "20194"])
def test_another_pin_is_taken(pin):
    assert weak_pin(pin=pin) is None


def test_most_pins_stay():
    left = [n for n in range(10_000) if weak_pin(pin=f"{n:04}") is None]
    assert len(left) > 9000


@given(st.text(min_size=8, max_size=40))
def test_a_pin_and_a_password_made_here_are_ones_that_a_person_may_take(key):
    assert weak_pin(pin=pin_for(key)) is None
    assert len(password_for(key)) >= 12
