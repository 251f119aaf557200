"""Each bottle stands once on the safety page, by a name of its own."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.urls import reverse

from jobs.air.queries import block_of, safety_request
from jobs.models import OrderBatch, WorkOrder
from jobs.stages.table import Stage
from mixing.models import Batch, Fill, Kind, RecipeVersion, Vessel
from tests.makers import NOW, make_bay, make_bench, make_workorder

pytestmark = pytest.mark.django_db


@pytest.fixture
def order(installer):
    make_bench(installer)
    return make_workorder(bay=make_bay(), stage=Stage.INSTALL)


def tack_in(vessel: Vessel, *, number: str) -> Batch:
    batch = Batch.objects.create(
        number=number,
        kind=Kind.TACK,
        recipe_version=RecipeVersion.objects.filter(recipe__kind=Kind.TACK).first(),
        volume_ml=950,
        vv_pct=17.7,
        mixed_at=NOW,
        use_by=NOW + timedelta(days=7),
    )
    Fill.objects.create(vessel=vessel, batch=batch, volume_ml=950)
    return batch


def tie(order: WorkOrder, batch: Batch, *, of_round: int) -> None:
    OrderBatch.objects.create(workorder=order, batch=batch, round=of_round)


def tacks(order: WorkOrder) -> list[str]:
    block_of(order, sheet=None, at=NOW)
    request = safety_request(order, sheet=None, at=NOW)
    return [use.name for use in request.solutions]


def test_a_bottle_that_is_used_again_for_new_film_is_listed_once(
    client, order, installer
):
    bottle = tack_in(Vessel.objects.filter(kind=Kind.TACK)[0], number="B-26-0001")
    tie(order, bottle, of_round=1)
    WorkOrder.objects.filter(pk=order.pk).update(round=2)
    order.refresh_from_db()
    tie(order, bottle, of_round=2)
    assert tacks(order) == ["Tack"]
    client.force_login(installer)
    for page in ("workorder_safety", "workorder_heat"):
        assert client.get(reverse(f"jobs:{page}", args=[order.pk])).status_code == 200


def test_two_batches_in_one_vessel_are_told_apart(order):
    vessel = Vessel.objects.filter(kind=Kind.TACK)[0]
    for number in ("B-26-0001", "B-26-0002"):
        tie(order, tack_in(vessel, number=number), of_round=1)
    code = vessel.code
    assert tacks(order) == [f"Tack {code} B-26-0001", f"Tack {code} B-26-0002"]
