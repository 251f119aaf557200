"""Lists of films and rolls as CSV: read row by row, each error a sentence (pure)."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from itertools import zip_longest
from typing import Any

from jobs import limits
from jobs.film.list_text import NOT_TEXT, unmarked
from shopapp.limits import Range
from shopapp.say import Say, say
from shopapp.typed import readings

MOST_ROWS = 2000
FINISHES = ("gloss", "matte", "colour")
DAY_FIRST = re.compile(r"(\d{1,2})\.(\d{1,2})\.(\d{4})")
YES = ("yes", "y", "true", "1")
NO = ("", "no", "n", "false", "0")

FILM_COLUMNS = (
    "code",
    "name",
    "thickness_um",
    "finish",
    "directional",
    "cost_per_m2",
    "price_factor",
    "reorder_below_m",
    "panel_min_c",
    "panel_max_c",
    "air_min_c",
    "air_max_c",
    "rh_max_pct",
    "cure_h",
    "wash_after_days",
    "in_use",
)
ROLL_COLUMNS = (
    "code",
    "film",
    "lot",
    "width_mm",
    "length_m",
    "cost_per_m",
    "location",
    "received_on",
)
STOCK_COLUMNS = ("what", *ROLL_COLUMNS)
"""The stock as it is given out: rolls and off-cuts. Its rolls can be taken in again."""
ROLL, OFFCUT = "roll", "off-cut"
NEEDED = {"films": ("code", "name"), "rolls": ("code", "film", "width_mm", "length_m")}

Row = dict[str, Any]


@dataclass(frozen=True, kw_only=True)
class ReadRow:
    """A line of the list: what it says, and what is wrong with it."""

    line: int
    cells: Mapping[str, str]
    facts: Row
    errors: tuple[Say, ...]


@dataclass(frozen=True, kw_only=True)
class ReadList:
    """The whole list. `problem` is set when no row could be read at all.

    ignored  columns that say nothing to the shop
    """

    rows: tuple[ReadRow, ...] = ()
    problem: Say | None = None
    ignored: tuple[str, ...] = ()

    @property
    def good(self) -> list[Row]:
        """What can be taken in."""
        return [row.facts for row in self.rows if not row.errors]

    @property
    def bad(self) -> list[ReadRow]:
        """Rows with an error."""
        return [row for row in self.rows if row.errors]


def read_films(text: str) -> ReadList:
    """A list of films: columns of `FILM_COLUMNS`, in any order."""
    return _read(text, kind="films", columns=FILM_COLUMNS, row=_film)


def read_rolls(
    text: str, *, films: Collection[str], taken: Collection[str]
) -> ReadList:
    """A list of rolls: columns of `ROLL_COLUMNS`, in any order.

    films  codes of known films, small letters
    taken  codes of rolls and off-cuts that are there, small letters
    """

    def row(cells: _Cells) -> Row:
        return _roll(cells, films=films, taken=taken)

    return _read(text, kind="rolls", columns=STOCK_COLUMNS, row=row)


class _Cells:
    """The cells of one row; each reader notes its own error and goes on."""

    def __init__(self, cells: Mapping[str, str]) -> None:
        self.cells = cells
        self.errors: list[Say] = []

    def text(self, name: str, *, most: int, needed: bool = False) -> str:
        found = unmarked(self.cells.get(name, "").strip())
        if needed and not found:
            self.errors.append(say("{column} is empty.", column=name))
        if len(found) > most:
            self.errors.append(
                say("{column} is longer than {most} signs.", column=name, most=most)
            )
        return found

    def number(
        self,
        name: str,
        *,
        within: Range,
        needed: bool = False,
    ) -> Decimal | None:
        found = self.text(name, most=20, needed=needed)
        if not found:
            return None
        meant = readings(found)
        low, high = Decimal(repr(within.low)), Decimal(repr(within.high))
        fitting = [n for n in meant if low <= n <= high]
        if len(fitting) == 1:
            return fitting[0]
        if not meant:
            sentence = say("{column}: {text} is no number.", column=name, text=found)
        elif fitting:
            sentence = say(
                "{column}: {text} can mean {thousands} or {decimals}: write one.",
                column=name,
                text=found,
                thousands=f"{fitting[0]:f}",
                decimals=f"{fitting[1]:f}0",
            )
        else:
            sentence = say(
                "{column}: {text} is not between {low} and {high}.",
                column=name,
                text=found,
                low=f"{within.low:g}",
                high=f"{within.high:g}",
            )
        self.errors.append(sentence)
        return None

    def choice(self, name: str, known: Sequence[str], *, default: str) -> str:
        found = self.text(name, most=20).lower() or default
        if found not in known:
            self.errors.append(
                say(
                    "{column}: {text} is none of {known}.",
                    column=name,
                    text=found,
                    known=", ".join(known),
                )
            )
        return found

    def day(self, name: str) -> date | None:
        found = self.text(name, most=20)
        if not found:
            return None
        # A spreadsheet that saves the list again may turn the day round.
        turned = DAY_FIRST.fullmatch(found)
        try:
            if turned:
                day, month, year = map(int, turned.groups())
                return date(year, month, day)
            return date.fromisoformat(found)
        except ValueError:
            self.errors.append(
                say(
                    "{column}: write the day as 2031-05-06, not {text}.",
                    column=name,
                    text=found,
                )
            )
            return None


def _read(
    text: str,
    *,
    kind: str,
    columns: Sequence[str],
    row: Callable[[_Cells], Row],
) -> ReadList:
    """The rows. Some spreadsheets begin with a line that names the separator."""
    body = text.partition("\n")[2] if text.lower().startswith("sep=") else text
    skipped = int(body != text)
    reader = csv.reader(io.StringIO(body, newline=""), delimiter=_delimiter(body))
    try:
        lines = [(reader.line_num + skipped, cells) for cells in reader if any(cells)]
    except csv.Error:
        return ReadList(problem=NOT_TEXT)
    if not lines:
        return ReadList(problem=say("The list is empty."))
    heads = [name.strip().lower() for name in lines[0][1]]
    if problem := _heads_problem(heads, kind=kind, columns=columns):
        return ReadList(problem=problem)
    if len(lines) == 1:
        return ReadList(problem=say("The list has its columns, and no row below them."))
    if len(lines) - 1 > MOST_ROWS:
        return ReadList(
            problem=say("The list has more than {most} rows.", most=MOST_ROWS)
        )
    seen: dict[str, int] = {}
    return ReadList(
        rows=tuple(_one(line, heads, cells, row, seen) for line, cells in lines[1:]),
        ignored=tuple(name for name in heads if name and name not in columns),
    )


def _delimiter(text: str) -> str:
    """Comma, semicolon or tab: whichever the first line has most of."""
    first = text.split("\n", 1)[0]
    return max(",;\t", key=first.count)


def _heads_problem(
    heads: Sequence[str], *, kind: str, columns: Sequence[str]
) -> Say | None:
    twice = [name for name in columns if heads.count(name) > 1]
    if twice:
        return say("The column {column} stands there twice.", column=twice[0])
    missing = [name for name in NEEDED[kind] if name not in heads]
    if not missing:
        return None
    for other, needed in NEEDED.items():
        if other != kind and all(name in heads for name in needed):
            return say("These are the columns of a list of {other}.", other=other)
    return say(
        "The first line must name the columns; {missing} is missing. "
        "Known are {known}.",
        missing=", ".join(missing),
        known=", ".join(columns),
    )


def _one(
    line: int,
    heads: Sequence[str],
    cells: Sequence[str],
    row: Callable[[_Cells], Row],
    seen: dict[str, int],
) -> ReadRow:
    reading = _Cells(dict(zip_longest(heads, cells[: len(heads)], fillvalue="")))
    facts = row(reading)
    if any(cells[len(heads) :]):
        # An unquoted comma inside a number shifts every cell after it.
        reading.errors.append(
            say(
                "This row has {cells} cells and the first line {heads}: is there a "
                "comma inside a number? Part the cells by semicolons.",
                cells=len(cells),
                heads=len(heads),
            )
        )
    code = str(facts["code"]).lower()
    if code and code in seen:
        reading.errors.append(
            say("{code} stands in line {line} already.", code=code, line=seen[code])
        )
    seen.setdefault(code, line)
    return ReadRow(
        line=line, cells=reading.cells, facts=facts, errors=tuple(reading.errors)
    )


MAKERS = (
    *("panel_min_c", "panel_max_c", "air_min_c", "air_max_c"),
    *("rh_max_pct", "cure_h"),
)


def _film(cells: _Cells) -> Row:
    directional = cells.choice("directional", (*YES, *NO), default="no")
    in_use = cells.choice("in_use", (*YES, *NO), default="yes")
    reorder = cells.number("reorder_below_m", within=_metres(limits.ROLL_LEFT_MM))
    known = {
        "code": cells.text("code", most=12, needed=True),
        "name": cells.text("name", most=60, needed=True),
        "thickness_um": _whole(cells.number("thickness_um", within=limits.FILM_UM)),
        "finish": cells.choice("finish", FINISHES, default="gloss"),
        "is_directional": directional in YES,
        "cost_per_m2": cells.number("cost_per_m2", within=limits.FILM_COST),
        "price_factor": cells.number("price_factor", within=limits.PRICE_FACTOR)
        or Decimal(1),
        "reorder_below_mm": int((reorder or 0) * 1000),
        "wash_after_days": _whole(
            cells.number("wash_after_days", within=limits.CARE_DAYS)
        ),
        "in_use": in_use in YES,
        **_limits(cells),
    }
    if known["wash_after_days"] is None:
        del known["wash_after_days"]
    # What the list does not name stays as it is.
    column = {"is_directional": "directional", "reorder_below_mm": "reorder_below_m"}
    return {
        name: value
        for name, value in known.items()
        if column.get(name, name) in cells.cells
    }


def _limits(cells: _Cells) -> Row:
    """The maker's limits and cure time; an empty cell is no limit."""
    found: Row = {}
    for name in MAKERS:
        number = cells.number(name, within=limits.FILM[name])
        found[name] = None if number is None else float(number)
    for least, most in (("panel_min_c", "panel_max_c"), ("air_min_c", "air_max_c")):
        low_c, high_c = found[least], found[most]
        if low_c is not None and high_c is not None and low_c >= high_c:
            cells.errors.append(
                say("{most} lies below {least}.", most=most, least=least)
            )
    return found


def _metres(within: Range) -> Range:
    return within.scaled(0.001, "m")


def _whole(number: Decimal | None) -> int | None:
    return None if number is None else round(number)


def _roll(cells: _Cells, *, films: Collection[str], taken: Collection[str]) -> Row:
    if cells.text("what", most=20).lower() not in ("", ROLL):
        cells.errors.append(
            say("Left out: this is no roll. Keep an off-cut on the page of its roll.")
        )
    code = cells.text("code", most=8, needed=True)
    film = cells.text("film", most=12, needed=True)
    if film and film.lower() not in films:
        cells.errors.append(say("There is no film {code}.", code=film))
    if code.lower() in taken:
        cells.errors.append(
            say("There is a roll or off-cut {code} already.", code=code)
        )
    width = cells.number("width_mm", within=limits.ROLL_WIDTH_MM, needed=True)
    length = cells.number(
        "length_m", within=_metres(limits.ROLL_LENGTH_MM), needed=True
    )
    return {
        "code": code,
        "film": film,
        "lot": cells.text("lot", most=40),
        "width_mm": _whole(width) or 0,
        "length_mm": int((length or 0) * 1000),
        "cost_per_m": cells.number("cost_per_m", within=limits.FILM_COST),
        "location": cells.text("location", most=60),
        "received_on": cells.day("received_on"),
    }


def right_rows(read: ReadList) -> str:
    """The rows that can be taken in, as they were typed: a list of their own."""
    rows = [row.cells for row in read.rows if not row.errors]
    heads = list(rows[0]) if rows else []
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerows([heads, *([row.get(name, "") for name in heads] for row in rows)])
    return out.getvalue()
