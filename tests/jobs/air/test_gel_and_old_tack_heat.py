"""Hot tools: gel that burns and tack mixed days ago start the wait too."""

from __future__ import annotations

from datetime import timedelta

import pytest

from jobs.air.heat_queries import last_alcohol_at
from jobs.models import OrderBatch, OrderPanel
from jobs.stages.table import Stage
from mixing.models import Batch, Chemical, Kind, RecipeVersion, Substance
from tests.makers import NOW, make_bay, make_bench, make_container, make_workorder

pytestmark = pytest.mark.django_db
LAID_AT = NOW - timedelta(minutes=10)


@pytest.fixture
def order(installer):
    """A car in a bay, one panel laid ten minutes ago."""
    make_bench(installer)
    made = make_workorder(bay=make_bay(), stage=Stage.INSTALL)
    panel = made.panels.first()
    OrderPanel.objects.filter(pk=panel.pk).update(laid_at=LAID_AT)
    return made


def tie(order, kind, *, days_ago, vv_pct):
    at = NOW - timedelta(days=days_ago)
    batch = Batch.objects.create(
        number=f"B-{kind}",
        kind=kind,
        recipe_version=RecipeVersion.objects.filter(recipe__kind=kind).first(),
        volume_ml=950,
        vv_pct=vv_pct,
        mixed_at=at,
        use_by=at + timedelta(days=7),
    )
    OrderBatch.objects.create(workorder=order, batch=batch, round=order.round)


def gel(codes):
    made = make_container("G5", Substance.GEL).chemical
    Chemical.objects.filter(pk=made.pk).update(hazard_codes=codes)


def test_tack_mixed_five_days_ago_and_laid_now_starts_the_wait(order):
    """Tack keeps about seven days: common practice, no published source."""
    tie(order, Kind.TACK, days_ago=5, vv_pct=17.7)
    assert last_alcohol_at(order.bay, now=NOW) == LAID_AT


def test_gel_that_burns_starts_the_wait(order):
    gel("H226")
    tie(order, Kind.GEL, days_ago=0, vv_pct=0)
    assert last_alcohol_at(order.bay, now=NOW) is not None


def test_gel_that_nobody_read_starts_the_wait(order):
    gel("")
    tie(order, Kind.GEL, days_ago=1, vv_pct=0)
    assert last_alcohol_at(order.bay, now=NOW) == LAID_AT


def test_gel_that_does_not_burn_waits_for_nothing(order):
    gel("none")
    tie(order, Kind.GEL, days_ago=0, vv_pct=0)
    assert last_alcohol_at(order.bay, now=NOW) is None


def test_slip_waits_for_nothing(order):
    tie(order, Kind.SLIP, days_ago=0, vv_pct=0)
    assert last_alcohol_at(order.bay, now=NOW) is None
