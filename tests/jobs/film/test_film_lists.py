"""Lists of films and rolls, read row by row and given out again."""

from __future__ import annotations

import csv
import io
from datetime import date
from decimal import Decimal

import pytest

from jobs.film.actions import change_films, receive_rolls
from jobs.film.list_text import written
from jobs.film.lists import (
    FILM_COLUMNS,
    STOCK_COLUMNS,
    read_films,
    read_rolls,
    right_rows,
)
from jobs.film.row_queries import film_rows, stock_rows, without_cost
from jobs.models import Film, Roll
from shopapp.frame import perform
from tests.makers import make_film, make_roll, make_tap

pytestmark = pytest.mark.django_db


ROLLS = "code,film,width_mm,length_m,lot\nR7,fa,1524,15,L-7\n"


def read(text, *, films=("fa",), taken=()):
    return read_rolls(text, films=films, taken=taken)


def test_a_list_of_rolls_is_read_and_taken_in(manager):
    make_film("FA")
    rows = read(ROLLS).good
    perform(make_tap(manager), receive_rolls, rows=rows)
    roll = Roll.objects.get(code="R7")
    assert (roll.left_mm, roll.width_mm, roll.lot) == (15_000, 1524, "L-7")


def test_semicolons_and_decimal_commas_are_understood():
    text = "code;film;width_mm;length_m\nR7;FA;1524;14,5\n"
    assert read(text).good[0]["length_mm"] == 14_500


@pytest.mark.parametrize(
    ("row", "said"),
    [
        ("R7,fx,1524,15,", "There is no film fx."),
        ("R1,fa,1524,15,", "There is a roll or off-cut R1 already."),
        ("R7,fa,wide,15,", "width_mm: wide is no number."),
        ("R7,fa,1524,-3,", "length_m: -3 is not between 0.1 and 200."),
        ("R7,fa,1524,inf,", "length_m: inf is no number."),
        (",fa,1524,15,", "code is empty."),
        ("R7,fa,60,15,", "width_mm: 60 is not between 100 and 3000."),
    ],
)
def test_each_wrong_row_says_what_is_wrong_with_it(row, said):
    found = read(f"code,film,width_mm,length_m,lot\n{row}\n", taken=("r1",))
    assert [str(error) for error in found.bad[0].errors] == [said]
    assert found.good == []


def test_a_code_twice_in_one_list_names_the_other_line():
    found = read(ROLLS + "r7,fa,1524,15,\n")
    assert str(found.bad[0].errors[0]) == "r7 stands in line 2 already."


def test_a_list_without_its_columns_names_them():
    assert "width_mm, length_m is missing" in str(read("code,film\nR7,fa\n").problem)
    assert str(read("").problem) == "The list is empty."


def test_a_list_of_films_changes_only_what_it_names(manager):
    make_film("FA", cost_per_m2=Decimal(40), is_directional=True)
    rows = read_films("code,name,finish\nfa,film A new,matte\nFC,film C,\n").good
    perform(make_tap(manager), change_films, rows=rows)
    film = Film.objects.get(code="fa")
    assert (film.name, film.finish) == ("film A new", "matte")
    assert film.cost_per_m2 == Decimal(40)
    assert film.is_directional
    assert Film.objects.filter(code="FC").exists()


def test_a_number_with_an_unquoted_comma_is_refused_and_not_shifted():
    found = read("code,film,width_mm,length_m\nR7,FA,1524,14,5\n")
    said = [str(error) for error in found.bad[0].errors]
    assert said[0].startswith("This row has 5 cells and the first line 4")


def test_a_short_first_row_loses_no_cell_of_the_others():
    text = "code,film,width_mm,length_m,lot\nR7,FA,1524,15\nR8,FA,1524,15,L-8\n"
    again = read(right_rows(read(text)))
    assert [row["lot"] for row in again.good] == ["", "L-8"]


def test_a_day_that_a_spreadsheet_turned_round_is_understood():
    text = "code;film;width_mm;length_m;received_on\nR7;FA;1524;15;06.05.2031\n"
    assert read(text).good[0]["received_on"] == date(2031, 5, 6)
    slashes = read(text.replace("06.05.2031", "06/05/2031")).bad[0]
    assert "write the day as 2031-05-06" in str(slashes.errors[0])


def test_a_line_that_names_the_separator_is_no_row():
    found = read("sep=;\ncode;film;width_mm;length_m\nR7;FA;1524;15\n")
    assert [row.line for row in found.rows] == [3]


def test_columns_in_another_order_and_an_unknown_one():
    found = read("length_m,note,film,width_mm,code\n15,x,FA,1524,R7\n")
    assert found.good[0]["code"] == "R7"
    assert found.ignored == ("note",)


def test_a_list_of_the_other_kind_says_so():
    said = str(read("code,name\nFA,film A\n").problem)
    assert said == "These are the columns of a list of films."


def test_a_column_named_twice_is_asked_about():
    said = str(read("code,film,width_mm,length_m,code\nR7,FA,1,1,R8\n").problem)
    assert said == "The column code stands there twice."


def test_columns_without_a_row_are_said_to_be_so():
    said = str(read("code,film,width_mm,length_m\n").problem)
    assert said == "The list has its columns, and no row below them."


def test_limits_the_wrong_way_round_are_refused():
    text = "code,name,air_min_c,air_max_c\nFA,film A,30,12\n"
    assert str(read_films(text).bad[0].errors[0]) == "air_max_c lies below air_min_c."


def test_films_given_out_come_in_again_as_they_were(manager):
    facts = {
        "is_directional": True,
        "cost_per_m2": Decimal("46.50"),
        "price_factor": Decimal("1.250"),
        "panel_min_c": 10.5,
        "rh_max_pct": 85.0,
        "cure_h": 12.0,
        "wash_after_days": 5,
        "reorder_below_mm": 8500,
        "in_use": False,
    }
    make_film("FA", name="=film -A", **facts)
    rows = read_films(written(FILM_COLUMNS, film_rows())).good
    Film.objects.all().delete()
    perform(make_tap(manager), change_films, rows=rows)
    film = Film.objects.get(code="FA")
    assert film.name == "=film -A"
    assert {name: getattr(film, name) for name in facts} == facts


def test_rolls_given_out_come_in_again_as_they_were(manager):
    facts = {"left_mm": 14_505, "lot": "-12", "location": "rack; 1"}
    make_roll(make_film("FA"), code="R9", received_on=date(2031, 5, 2), **facts)
    (given,) = stock_rows()
    text = written(STOCK_COLUMNS, [given]).replace("R9", "R8")
    rows = read_rolls(text, films=("fa",), taken=("r9",)).good
    perform(make_tap(manager), receive_rolls, rows=rows)
    again = {row[1]: row for row in stock_rows()}["R8"]
    assert (*again[:1], "R9", *again[2:]) == given


def test_an_offcut_in_a_list_of_rolls_is_left_out_with_a_sentence():
    text = "what,code,film,width_mm,length_m\noff-cut,R7-1,FA,1524,1\n"
    assert "this is no roll" in str(read(text).bad[0].errors[0])


def test_who_does_not_see_cost_gets_a_list_without_it():
    text = written(*without_cost(STOCK_COLUMNS, stock_rows()))
    assert "cost_per_m" not in next(csv.reader(io.StringIO(text)))
