"""Hours and nights of a package: the owner's, else the defaults."""

from __future__ import annotations

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from jobs.coverage.catalogue import Package
from jobs.models import PackageHours
from jobs.package_hours.defaults import DEFAULTS, PackageTimes
from jobs.package_hours.queries import hours_of
from shopapp.once import one_page


def test_every_package_has_a_default():
    assert set(DEFAULTS) == set(Package)


def test_more_film_is_prepared_at_least_as_long_and_stays_as_many_nights():
    order = ("single_panels", "partial_front", "full_front", "track", "full_vehicle")
    rows = [DEFAULTS[Package(name)] for name in order]
    assert [row.prep_min for row in rows] == [30, 60, 90, 120, 240]
    assert [row.nights for row in rows] == [0, 0, 1, 1, 2]
    assert [row.helper_min for row in rows] == [0, 0, 60, 60, 240]


@pytest.mark.django_db
def test_without_a_row_the_defaults_hold():
    assert hours_of(Package.TRACK) == DEFAULTS[Package.TRACK]


@pytest.mark.django_db
def test_a_field_that_the_owner_left_empty_is_the_default():
    PackageHours.objects.create(package="track", laying_min=600, helper_min=0)
    assert hours_of(Package.TRACK) == PackageTimes(
        prep_min=120, laying_min=600, helper_min=0, nights=1, ready_from="afternoon"
    )


@pytest.mark.django_db
def test_a_page_reads_the_hours_of_all_packages_once():
    with one_page(), CaptureQueriesContext(connection) as asked:
        for package in Package:
            hours_of(package)
    assert len(asked) == 1
