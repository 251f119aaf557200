"""A row keeps its own keys, and they are never older than the row."""

from __future__ import annotations

import pytest
from django.apps import apps
from django.db import connection
from django.test.utils import CaptureQueriesContext

from jobs.models import Booking, Customer, OffCut, Roll, SearchKey, Vehicle, WorkOrder
from jobs.search.models import Findable
from jobs.search.queries import in_any, rows_with
from jobs.search.spelling import beginnings
from tests import makers

FINDABLE = (Customer, Vehicle, Booking, WorkOrder, Roll, OffCut)


def keys_of(row: Findable) -> set[str]:
    kept = SearchKey.objects.filter(of=row.found_as, row=row.pk)
    return set(kept.values_list("key", flat=True))


@pytest.mark.django_db
def test_a_new_row_is_found_and_a_changed_one_by_its_new_words_only():
    car = makers.make_vehicle(plate="ABC 123")
    assert "ABC123" in keys_of(car)
    car.plate = "XYZ 789"
    car.save()
    assert keys_of(car) == car.search_keys()
    assert "ABC123" not in keys_of(car)


@pytest.mark.django_db
def test_a_save_of_other_columns_leaves_the_keys_alone():
    roll = makers.make_roll(code="R9")
    roll.left_mm = 1
    with CaptureQueriesContext(connection) as asked:
        roll.save(update_fields=["left_mm"])
    assert not [query for query in asked if "searchkey" in query["sql"]]


@pytest.mark.django_db
def test_a_blanked_name_is_nowhere_in_the_keys():
    customer = makers.make_customer("Zoe Brandt", phone="555-0109")
    customer.name, customer.phone = "erased", ""
    customer.save()
    kept = "".join(SearchKey.objects.values_list("key", flat=True))
    assert "BRANDT" not in kept
    assert "5550109" not in kept


def test_every_row_that_is_found_is_one_of_these():
    models = [model for model in apps.get_models() if issubclass(model, Findable)]
    assert set(models) == set(FINDABLE)
    assert {model.found_as for model in models} == set(SearchKey.Of)


@pytest.mark.django_db
def test_the_keys_are_asked_by_their_index():
    if connection.vendor != "sqlite":
        pytest.skip("a small table is read whole")
    asked = [rows_with(SearchKey.Of.VEHICLE, each) for each in beginnings("SDW2207")]
    plan = in_any(asked).explain()
    assert plan.count("search_key (of=? AND key>? AND key<?)") == len(
        beginnings("SDW2207")
    )
