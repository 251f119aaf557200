"""A list of cars as it is pasted from a dealer's mail or table (pure).

One car a line. Columns are set apart by tabs, semicolons or commas; a first line with
their names puts them in another order. What a row lacks is said of that row.
"""

from __future__ import annotations

import csv
from collections.abc import Set
from dataclasses import dataclass, replace

from jobs.limits import FIRST_YEAR, YEARS_AHEAD
from jobs.search.spelling import letters_and_digits
from jobs.vin import check_vin, model_year
from shopapp.say import Say, say

MOST_ROWS = 60
SEPARATORS = "\t;,"
BLANK = SEPARATORS + ' "\r'
"""A row of nothing but these is none."""
NAMES = {
    **dict.fromkeys(("plate", "registration", "licenseplate", "licenceplate"), "plate"),
    **dict.fromkeys(("stock", "stockno", "stocknumber", "stocknr"), "stock_number"),
    **dict.fromkeys(("make", "brand"), "make"),
    **dict.fromkeys(("colour", "color"), "colour"),
    **dict.fromkeys(("year", "modelyear"), "year"),
    **dict.fromkeys(("size", "sizeclass"), "size_class"),
    **dict.fromkeys(("order", "orderno", "ordernumber", "po", "ponumber"), "order"),
    "model": "model",
    "vin": "vin",
}
"""What a column may be called, as letters only."""
AFTER_THE_FIRST = ("make", "model", "colour", "vin")
LONGEST = {
    **{"plate": 16, "stock_number": 20, "make": 40, "model": 60, "colour": 40},
    **{"order": 40, "year": 4, "size_class": 4},
}


@dataclass(frozen=True, kw_only=True)
class ListedCar:
    """A row of the list.

    row       its line, from 1
    text      as it was typed
    problems  why it is not booked; none: it is
    """

    row: int
    text: str
    plate: str = ""
    stock_number: str = ""
    make: str = ""
    model: str = ""
    colour: str = ""
    vin: str = ""
    year: int | None = None
    size_class: str = ""
    order: str = ""
    problems: tuple[Say, ...] = ()

    def but(self, *problems: Say) -> ListedCar:
        """The same row with what else is wrong with it."""
        return replace(self, problems=(*self.problems, *problems))


def read_list(
    text: str, *, first: str, sizes: Set[str], this_year: int
) -> list[ListedCar]:
    """The cars of a list, row by row, each with what is wrong with it.

    first  what the first column is where no line names the columns: "plate" or
           "stock_number"
    sizes  codes of the size classes
    """
    lines = [
        (at, line) for at, line in enumerate(text.splitlines(), 1) if line.strip(BLANK)
    ]
    separator = _separator([line for _, line in lines])
    columns: tuple[str, ...] = (first, *AFTER_THE_FIRST)
    if lines and (named := _named(_cells(lines[0][1], separator))):
        columns, lines = named, lines[1:]
    found = [
        _checked(
            _row(at, _cells(line, separator), columns, this_year),
            sizes=sizes,
            this_year=this_year,
        )
        for at, line in lines
    ]
    return _twins_said(found)


def _separator(lines: list[str]) -> str:
    """Tabs where there are any, else semicolons, else commas."""
    return next((sign for sign in SEPARATORS if any(sign in x for x in lines)), ",")


def _cells(line: str, separator: str) -> list[str]:
    # Line by line: an open quotation mark must not swallow the rows below it.
    row = next(csv.reader([line.replace("\0", "")], delimiter=separator), [])
    return [" ".join(cell.split()) for cell in row]


def _named(cells: list[str]) -> tuple[str, ...]:
    """The columns that a first line names; none: it is a car."""
    known = [NAMES.get(letters_and_digits(cell).lower(), "") for cell in cells]
    return tuple(known) if sum(map(bool, known)) > 1 else ()


def _row(
    at: int, cells: list[str], columns: tuple[str, ...], this_year: int
) -> ListedCar:
    row = ListedCar(row=at, text="; ".join(cells))
    if len(cells) > len(columns) and any(cells[len(columns) :]):
        return row.but(
            say("It has {n} columns; {k} are read.", n=len(cells), k=len(columns))
        )
    known = {name: cell for name, cell in zip(columns, cells, strict=False) if name}
    problems = [
        say("Too long for {name}: {text}", name=name.replace("_", " "), text=cell[:60])
        for name, cell in known.items()
        if len(cell) > LONGEST.get(name, len(cell))
    ]
    year = known.pop("year", "")
    if year and not _is_year(year, this_year):
        problems.append(say("{year} is no model year.", year=year[:20]))
        year = ""
    known["plate"] = known.get("plate", "").upper()
    known["size_class"] = known.get("size_class", "").upper()
    known["vin"] = known.get("vin", "").upper()
    return replace(row, **known, year=int(year) if year else None).but(*problems)  # type: ignore[arg-type]


def _is_year(text: str, this_year: int) -> bool:
    is_number = text.isascii() and text.isdigit() and len(text) == LONGEST["year"]
    return is_number and FIRST_YEAR <= int(text) <= this_year + YEARS_AHEAD


def _checked(row: ListedCar, *, sizes: Set[str], this_year: int) -> ListedCar:
    if row.problems:
        return row
    problems: list[Say] = []
    if not row.model:
        problems.append(say("The model is missing."))
    if not (row.plate or row.stock_number or row.vin):
        problems.append(say("It has no plate, no stock number and no VIN."))
    if row.size_class and row.size_class not in sizes:
        problems.append(say("{size} is no size here.", size=row.size_class))
    if row.vin:
        check = check_vin(row.vin)
        problems += check.problems
        if check.asks_reason:
            problems += check.warnings
        year = row.year or model_year(check, is_light=True, this_year=this_year)
        row = replace(row, vin=check.vin, year=year)
    return row.but(*problems)


def _twins_said(rows: list[ListedCar]) -> list[ListedCar]:
    """Say of a row that its car stands in the list above already."""
    seen: dict[tuple[str, str], int] = {}
    found = []
    for row in rows:
        signs = [
            (name, letters_and_digits(getattr(row, name)))
            for name in ("plate", "stock_number", "vin")
            if getattr(row, name)
        ]
        above = next((seen[sign] for sign in signs if sign in seen), None)
        for sign in signs:
            seen.setdefault(sign, row.row)
        if above is not None:
            row = row.but(say("The same car as in row {row}.", row=above))
        found.append(row)
    return found
