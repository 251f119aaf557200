"""The text of a list that was given to the shop, whatever saved it; and back (pure)."""

from __future__ import annotations

import codecs
import csv
import io
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from shopapp.say import Say, say

SAVED_AS: Mapping[str, Say] = {
    "cp1252": say("Windows (Western)"),
    "cp1250": say("Windows (Central European)"),
    "mac_roman": say("Mac (Western)"),
}
"""What a spreadsheet program saves a CSV as when nobody asks for UTF-8."""
USUAL = "cp1252"

_MARKS = (
    (codecs.BOM_UTF8, "utf-8-sig"),
    (codecs.BOM_UTF32_LE, "utf-32"),
    (codecs.BOM_UTF32_BE, "utf-32"),
    (codecs.BOM_UTF16_LE, "utf-16"),
    (codecs.BOM_UTF16_BE, "utf-16"),
)
"""Byte order marks: The Unicode Standard, section 23.8 (the UTF-32 marks first, as
one of them begins like UTF-16's)."""
_SPREADSHEETS = (b"PK\x03\x04", b"\xd0\xcf\x11\xe0")
"""How a zipped and an older binary spreadsheet begin: .ZIP application note section
4.3.7 and the compound file format, from memory."""
_RUNS = ("=", "+", "-", "@", "\t", "\r")
"""First signs of a cell that a spreadsheet would run: OWASP, CSV injection."""

NOT_TEXT = say(
    "This is not a text file. Save the list as CSV in UTF-8 and choose it again."
)
_SPREADSHEET = say(
    "This is a spreadsheet, not a CSV, whatever its name says. Open it, choose “Save "
    "as”, take “CSV UTF-8”, and choose that file."
)
_EMPTY = say("The file is empty.")


@dataclass(frozen=True, kw_only=True)
class ListText:
    """The text of a list.

    saved_as  a key of `SAVED_AS` that it was read as; empty if it is surely Unicode
    line      the first line that is not UTF-8, where the reading is a guess
    """

    text: str
    saved_as: str = ""
    line: int | None = None


def list_text(data: bytes, *, saved_as: str = "") -> ListText | Say:
    """The text of a file, or why there is none.

    data      as it was uploaded
    saved_as  what somebody says it was saved as, a key of `SAVED_AS`; else it is found
    A byte order mark settles it. Without one, text that is no UTF-8 is read as most
    spreadsheet programs save it, and `line` says that this is a guess.
    """
    if not data.strip():
        return _EMPTY
    if data.startswith(_SPREADSHEETS):
        return _SPREADSHEET
    for mark, encoding in _MARKS:
        if data.startswith(mark):
            return _checked(_decoded(data, encoding))
    if saved_as:
        return _checked(_decoded(data, saved_as), saved_as=saved_as)
    if b"\x00" in data[:2]:
        # ASCII in UTF-16 without its mark: every other byte is zero.
        wide = "utf-16-be" if data[:1] == b"\x00" else "utf-16-le"
        return _checked(_decoded(data, wide))
    try:
        return _checked(data.decode("utf-8"))
    except UnicodeDecodeError as error:
        line = data[: error.start].count(b"\n") + 1
    return _checked(_decoded(data, USUAL), saved_as=USUAL, line=line)


def _decoded(data: bytes, encoding: str) -> str | None:
    try:
        return data.decode(encoding)
    except UnicodeDecodeError:
        return None


def _checked(
    text: str | None, *, saved_as: str = "", line: int | None = None
) -> ListText | Say:
    if text is None or "\x00" in text:
        return NOT_TEXT
    if not text.strip():
        return _EMPTY
    return ListText(text=text, saved_as=saved_as, line=line)


def written(columns: Sequence[str], rows: Sequence[Sequence[object]]) -> str:
    """Rows as CSV text. A cell that a spreadsheet would run is made plain text."""
    out = io.StringIO(newline="")
    writer = csv.writer(out)
    writer.writerow(columns)
    writer.writerows([_harmless(cell) for cell in row] for row in rows)
    return out.getvalue()


def _harmless(cell: object) -> object:
    if isinstance(cell, str) and cell.startswith(_RUNS):
        return "'" + cell
    return "" if cell is None else cell


def unmarked(cell: str) -> str:
    """A cell as it was before `written` made it plain text.

    >>> unmarked("'-2 C"), unmarked("'s")
    ('-2 C', "'s")
    """
    return cell[1:] if cell.startswith("'") and cell[1:].startswith(_RUNS) else cell
