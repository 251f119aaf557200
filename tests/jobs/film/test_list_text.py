"""The text of a file, whatever saved it."""

from __future__ import annotations

import codecs

import pytest

from jobs.film.list_text import NOT_TEXT, ListText, list_text, unmarked, written
from shopapp.say import Say

TEXT = "code,film\nR8,Größe\n"


@pytest.mark.parametrize(
    "data",
    [
        TEXT.encode(),
        codecs.BOM_UTF8 + TEXT.encode(),
        codecs.BOM_UTF16_LE + TEXT.encode("utf-16-le"),
        codecs.BOM_UTF16_BE + TEXT.encode("utf-16-be"),
        codecs.BOM_UTF32_LE + TEXT.encode("utf-32-le"),
        TEXT.encode("utf-16-le"),
        TEXT.encode("utf-16-be"),
    ],
)
def test_unicode_is_read_whatever_its_mark(data):
    """Marks: The Unicode Standard, section 23.8; RFC 3629 and RFC 2781."""
    assert list_text(data) == ListText(text=TEXT)


def test_what_is_no_utf_8_is_read_as_a_guess_that_names_its_line():
    found = list_text(TEXT.encode("cp1252"))
    assert found == ListText(text=TEXT, saved_as="cp1252", line=2)


@pytest.mark.parametrize(
    ("name", "saved_as"), [("Größe", "mac_roman"), ("Łódź", "cp1250")]
)
def test_who_says_what_it_was_saved_as_is_believed(name, saved_as):
    found = list_text(f"code\n{name}\n".encode(saved_as), saved_as=saved_as)
    assert found == ListText(text=f"code\n{name}\n", saved_as=saved_as)


@pytest.mark.parametrize(
    "data", [b"PK\x03\x04\x14\x00", b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"]
)
def test_a_spreadsheet_with_another_ending_is_told_from_a_list(data):
    assert "This is a spreadsheet, not a CSV" in str(list_text(data))


@pytest.mark.parametrize("data", [b"", b" \r\n", codecs.BOM_UTF8])
def test_an_empty_file_is_said_to_be_empty(data):
    assert str(list_text(data)) == "The file is empty."


@pytest.mark.parametrize("data", [b"code\x00\x01", b"code,\x81\n"])
def test_what_is_no_text_is_refused(data):
    assert list_text(data) == NOT_TEXT
    assert isinstance(NOT_TEXT, Say)


def test_a_list_given_out_runs_no_formula_in_a_spreadsheet():
    """OWASP, CSV injection: cells that begin with = + - @ tab or return."""
    text = written(("a", "b"), [("=1+1", -5), ("@x", None)])
    assert text.splitlines()[1:] == ["'=1+1,-5", "'@x,"]
    assert unmarked("'=1+1") == "=1+1"
