"""A calendar as RFC 5545 asks for it."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st
from icalendar import Calendar

from jobs.feeds.ical import Entry, calendar_bytes

AT = datetime(2031, 5, 6, 14, tzinfo=UTC)


def entry(**more):
    known = {"uid": "1", "starts_at": AT, "ends_at": AT + timedelta(minutes=30)}
    return Entry(**{**known, "title": "film work", **more})


def lines(*entries, name=""):
    body = calendar_bytes(entries, made_at=AT, by="-//x//EN", name=name)
    return body.decode().split("\r\n")


def property_of(text):
    """A title's content line, put together again as 3.1 says."""
    whole = calendar_bytes([entry(title=text)], made_at=AT, by="-//x//EN").decode()
    unfolded = whole.replace("\r\n ", "").split("\r\n")
    return next(line for line in unfolded if line.startswith("SUMMARY:"))


def test_text_is_escaped_as_in_the_standard():
    # RFC 5545, 3.3.11: the example of a TEXT value with line ends and commas.
    text = "Project XYZ Final Review\nConference Room - 3B\nCome Prepared."
    standard = r"Project XYZ Final Review\nConference Room - 3B\nCome Prepared."
    assert property_of(text) == f"SUMMARY:{standard}"
    assert property_of("a;b,c\\d") == r"SUMMARY:a\;b\,c\\d"


def test_long_lines_are_folded_at_75_octets_and_unfold_to_themselves():
    # RFC 5545, 3.1: lines SHOULD NOT be longer than 75 octets, the break excluded.
    text = "Überprüfung der Folie " * 12
    assert all(len(line.encode()) <= 75 for line in lines(entry(title=text)))
    assert property_of(text) == f"SUMMARY:{text}"


@pytest.mark.parametrize("end", ["\r\n", "\n", "\r", "\x0b", "\x0c", "\u2028"])
def test_a_line_end_in_a_name_does_not_begin_a_new_property(end):
    evil = f"a{end}ATTENDEE:x"
    text = "\r\n".join(lines(entry(title=evil, uid=evil, where=evil), name=evil))
    assert "\r\nATTENDEE" not in text
    assert not any(line.startswith("ATTENDEE") for line in text.splitlines())


def test_times_are_written_in_utc_and_need_a_zone():
    assert "DTSTART:20310506T140000Z" in lines(entry())
    with pytest.raises(ValueError, match="zone"):
        lines(entry(starts_at=datetime(2031, 5, 6)))  # noqa: DTZ001


def test_a_feed_says_its_name_and_when_to_read_it_again():
    said = lines(entry(sequence=3), name="Bay 1; left")
    for line in (
        "METHOD:PUBLISH",
        r"NAME:Bay 1\; left",
        r"X-WR-CALNAME:Bay 1\; left",
        "REFRESH-INTERVAL;VALUE=DURATION:PT30M",
        "X-PUBLISHED-TTL:PT30M",
        "SEQUENCE:3",
        "STATUS:CONFIRMED",
        "TRANSP:OPAQUE",
        "DTSTAMP:20310506T140000Z",
        "LAST-MODIFIED:20310506T140000Z",
    ):
        assert line in said


def test_a_feed_without_entries_is_a_calendar():
    found = Calendar.from_ical("\r\n".join(lines(name="Bay 1")))
    assert found.events == []


@given(st.text(st.characters(exclude_categories=["Cs", "Cc"]), max_size=200))
def test_what_is_written_is_read_back(text):
    body = calendar_bytes([entry(title=text)], made_at=AT, by="-//x//EN", name="Bay 1")
    (event,) = Calendar.from_ical(body).events
    assert event.errors == []
    assert "\n".join(text.splitlines()) == str(event["summary"])
    assert all(len(line) <= 75 for line in body.split(b"\r\n"))
