"""VINs: published examples, vininfo beside them, and every way to type one wrong."""

import csv
from pathlib import Path

import pytest
from hypothesis import given as for_all
from hypothesis import strategies as st
from vininfo import Vin

from jobs.vin import ALLOWED, check_digit, check_vin

with (Path(__file__).parent.parent / "cases" / "vin.csv").open(encoding="utf-8") as f:
    CASES = list(csv.DictReader(f))

vins = st.text(sorted(ALLOWED), min_size=17, max_size=17)


@pytest.mark.parametrize("case", CASES, ids=lambda case: case["vin"])
def test_the_check_digit_is_the_published_one(case):
    assert check_digit(vin=case["vin"]) == case["digit"]


@pytest.mark.parametrize("case", CASES, ids=lambda case: case["vin"])
def test_a_check_digit_that_does_not_fit_warns_and_still_saves(case):
    checked = check_vin(case["vin"])
    assert checked.ok
    assert bool(checked.warnings) is (case["fits"] == "no")


@pytest.mark.parametrize("case", CASES, ids=lambda case: case["vin"])
def test_the_model_year_follows_position_10_and_7(case):
    years = tuple(int(year) for year in case["years"].split())
    assert check_vin(case["vin"]).model_years == years


def test_small_letters_and_blanks_are_forgiven():
    assert check_vin(" 1m8gdm9ax kp042788\n").vin == "1M8GDM9AXKP042788"


def test_seventeen_zeros_pass_the_sum_and_are_still_refused():
    assert check_digit(vin="0" * 17) == "0"
    assert not check_vin("0" * 17).ok


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("tooshort", "A VIN has 17 characters; this one has 8."),
        ("", "A VIN has 17 characters; this one has 0."),
        # vininfo 1.11.0 refuses this one too (its tests).
        (
            "AAAAAAAIAAAAAAAAA",
            "A VIN never has the letter I: is it a 1 or a 0?",
        ),
        ("1M8GDM9AXKP04278!", "A VIN never has the sign !."),
        ("1M8GDM9AXKP04278٣", "A VIN never has the sign ٣."),
        ("1M8GDM9AXKP0427ß", "A VIN has 17 characters; this one has 16."),
    ],
)
def test_what_cannot_be_a_vin_is_named(text, sentence):
    checked = check_vin(text)
    assert not checked.ok
    assert sentence in [str(problem) for problem in checked.problems]


def test_the_warning_is_firmer_for_a_north_american_car():
    firm = str(check_vin("1M8GDM9AYKP042788").warnings[0])
    mild = str(check_vin("WP0ZZZ99ZTS392124").warnings[0])
    assert "read it again." in firm
    assert "outside North America" in mild


def test_a_tenth_character_without_a_year_warns_in_north_america():
    checked = check_vin("1M8GDM9A0UP042788")
    assert checked.model_years == ()
    assert "no model year" in str(checked.warnings[-1])


def test_a_letter_in_position_7_means_the_cycle_from_2010():
    vin = "1M8GDMAAXKP042788"
    assert check_vin(vin).model_years == (2019,)


def test_the_check_digit_of_a_short_text_is_an_error():
    with pytest.raises(ValueError, match="17 digits"):
        check_digit(vin="1M8")


@for_all(vin=vins.filter(lambda vin: vin[9] not in "UZ0"))
def test_vininfo_agrees_on_the_check_digit(vin):
    fits = vin[8] == check_digit(vin=vin)
    assert Vin(vin).verify_checksum() is fits


@for_all(vin=vins, wrong=st.integers(1, 9), place=st.sampled_from([0, 5, 10, 16]))
def test_one_digit_read_as_another_is_always_noticed(vin, wrong, place):
    vin = vin[:place] + "1" + vin[place + 1 :]
    fitting = vin[:8] + check_digit(vin=vin) + vin[9:]
    misread = fitting[:place] + str((1 + wrong) % 10) + fitting[place + 1 :]
    assert check_vin(misread).warnings


@for_all(text=st.text(max_size=25))
def test_any_text_gets_an_answer_and_never_an_error(text):
    checked = check_vin(text)
    assert checked.ok is not bool(checked.problems)
