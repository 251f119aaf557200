"""What a booking comes to: film on a roll, minutes of work, the earliest hand-over."""

from __future__ import annotations

from datetime import UTC, datetime, time, timedelta
from zoneinfo import ZoneInfo

import pytest

from jobs.coverage.catalogue import Body, Method, Package, PanelChoice
from jobs.coverage.measured import Car
from jobs.cure.dates import Settling
from jobs.film.need_queries import film_need
from jobs.opening.hours import Opening
from jobs.package_hours.defaults import DEFAULTS, PackageTimes
from jobs.promises.earliest import after_work, earliest_hand_over, work_min
from shopapp.figures import given

pytestmark = pytest.mark.django_db
CHICAGO = ZoneInfo("America/Chicago")
OPENING = Opening(opens_at=time(8), closes_at=time(18))
SEDAN = Car(make="", model="", body=Body.SEDAN, year=None)


def test_film_for_one_panel_is_its_blank_and_the_end_cut(film):
    # Hood template 1130 x 1470 + 2 x (10 wrap + 60 to hold) = 1270 x 1610: wider than
    # the roll of 1524, so it lies turned; 1610 + 20 mm lead at the end cut.
    need = film_need([PanelChoice(panel="hood")], film=film, size_class="D", car=SEDAN)
    assert (need.length_mm, need.width_mm) == (1630, 1524)


def test_a_panel_wider_than_the_roll_is_said(film):
    film.rolls.update(width_mm=600)
    need = film_need([PanelChoice(panel="hood")], film=film, size_class="D", car=SEDAN)
    assert need.unplaced == ("hood",)


def test_work_counts_panels_and_the_usual_minutes():
    # Hood 90-120 min; intake 20-30, prep of single panels 30, inspection 30-45:
    # common practice, no published source. 105 + 25 + 30 + 37.5.
    choice = PanelChoice(panel="hood", method=Method.HAND_FITTED)
    times = DEFAULTS[Package.SINGLE_PANELS]
    work = work_min([choice], times=times, added_min=0)
    assert work.value == pytest.approx(197.5)


def test_the_hours_that_the_owner_gives_count_instead_of_the_panels():
    # 300 + 25 + 45 + 37.5.
    choice = PanelChoice(panel="hood", method=Method.HAND_FITTED)
    times = PackageTimes(prep_min=45, laying_min=300)
    assert work_min([choice], times=times, added_min=0).value == pytest.approx(407.5)


def test_work_goes_on_the_next_morning():
    start = datetime(2031, 5, 6, 16, tzinfo=CHICAGO)
    end = after_work(start, minutes=180, opening=OPENING)
    assert end == datetime(2031, 5, 7, 9, tzinfo=CHICAGO)


def test_no_work_is_done_on_a_weekend():
    friday = datetime(2031, 5, 9, 17, tzinfo=CHICAGO)
    end = after_work(friday, minutes=120, opening=OPENING)
    assert end == datetime(2031, 5, 12, 9, tzinfo=CHICAGO)


def test_the_earliest_hand_over_waits_for_cure_and_opening():
    # 8 h of work from 9:00 end at 17:00; 16 h of cure at 9:00 the next day; then
    # 42.5 min of final look and hand-over.
    at = earliest_hand_over(
        arrives_at=datetime(2031, 5, 6, 9, tzinfo=CHICAGO),
        work_min=480,
        settling=Settling(least=given(16, "h", "a test")),
        opening=OPENING,
    )
    assert at == datetime(2031, 5, 7, 9, 42, 30, tzinfo=CHICAGO)


def test_a_night_that_changes_the_clocks_neither_shortens_nor_lengthens_the_cure():
    # 2 November 2031 ends daylight saving time in Chicago (tz database).
    at = earliest_hand_over(
        arrives_at=datetime(2031, 10, 31, 8, tzinfo=CHICAGO),
        work_min=600,
        settling=Settling(least=given(63, "h", "a test")),
        opening=OPENING,
    )
    laid = datetime(2031, 10, 31, 18, tzinfo=CHICAGO).astimezone(UTC)
    settled = laid + timedelta(hours=63)
    assert settled.astimezone(CHICAGO).hour == 8
    assert at == datetime(2031, 11, 3, 8, 42, 30, tzinfo=CHICAGO)
