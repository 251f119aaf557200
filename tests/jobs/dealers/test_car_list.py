"""A pasted list of cars, read row by row."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from jobs.dealers.car_list import read_list

VIN = "1M8GDM9AXKP042788"


def read(text, first="stock_number"):
    sizes = frozenset("BCDE")
    return read_list(text, first=first, sizes=sizes, this_year=2026)


def said(row):
    return [str(problem) for problem in row.problems]


@pytest.mark.parametrize("sign", ["\t", ";", ",", " ; ", "\t "])
def test_a_row_is_stock_number_make_model_colour_and_vin(sign):
    (row,) = read(sign.join(["N-901", "Example", "Grand Tourer", "dark green", VIN]))
    assert (row.stock_number, row.make, row.model) == (
        "N-901",
        "Example",
        "Grand Tourer",
    )
    assert (row.colour, row.vin, row.problems) == ("dark green", VIN, ())


def test_the_first_column_may_be_the_plate():
    (row,) = read("sdw 2207;Example;Saloon", first="plate")
    assert (row.plate, row.stock_number) == ("SDW 2207", "")


def test_a_first_line_with_names_puts_the_columns_in_its_order():
    text = (
        f"VIN,Model,Color,PO number,Size,Stock #,mileage\n{VIN},Saloon,red,P-7,e,N-9,12"
    )
    (row,) = read(text.replace("Stock #", "Stock no."))
    assert (row.vin, row.model, row.colour) == (VIN, "Saloon", "red")
    assert (row.order, row.size_class, row.stock_number) == ("P-7", "E", "N-9")
    assert row.row == 2


def test_a_comma_within_quotes_stays_and_an_open_quote_swallows_no_row():
    first, second = read('"N,1",Example,Saloon\n"N-2,Example,Saloon')
    assert first.stock_number == "N,1"
    assert second.row == 2


@pytest.mark.parametrize(
    ("line", "why"),
    [
        ("N-1;Example", "The model is missing."),
        (";Example;Saloon", "It has no plate, no stock number and no VIN."),
        ("N-1;a;b;c;123", "A VIN has 17 characters; this one has 3."),
        ("N-1;a;b;c;1M8GDM9AXKP04278O", "never has the letter O"),
        ("N-1;a;b;c;1M8GDM9A1KP042788", "check"),
        ("N-1;a;b;c;;d;e", "It has 7 columns; 5 are read."),
        (f"{'N' * 21};a;b", "Too long for stock number"),
        (f"N-1;a;{'b' * 61}", "Too long for model"),
    ],
)
def test_what_a_row_lacks_is_said_of_that_row(line, why):
    good, bad = read(f"N-0;Example;Saloon\n{line}")
    assert not good.problems
    assert any(why in sentence for sentence in said(bad))


@pytest.mark.parametrize("year", ["20x4", "1899", "²025", "9" * 5000])
def test_a_year_that_is_none_is_said(year):
    (row,) = read(f"stock;model;year\nN-1;Saloon;{year}")
    assert "is no model year" in said(row)[-1]


def test_a_size_that_the_shop_has_not_is_said():
    (row,) = read("stock;model;size\nN-1;Saloon;Q")
    assert said(row) == ["Q is no size here."]


def test_a_car_that_stands_above_already_is_said():
    rows = read(f"N-1;a;b;c;{VIN}\n\nN-2;a;b\nn 1;a;b\nN-4;a;b;c;{VIN.lower()}")
    assert [said(row) for row in rows] == [
        [],
        [],
        ["The same car as in row 1."],
        ["The same car as in row 1."],
    ]


@given(st.text(max_size=200))
def test_any_text_is_read_row_by_row(text):
    for row in read(text):
        assert row.problems or (
            row.model and (row.plate or row.stock_number or row.vin)
        )


def test_a_row_of_nothing_but_separators_is_none():
    rows = read("N-1;Example;Saloon\n;;;\n , \nN-2;Example;Saloon")
    assert [row.stock_number for row in rows] == ["N-1", "N-2"]
