"""A recheck has an outcome, ends by itself, and a car that left is with its owner."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.utils import timezone

from jobs.models import Defect, WorkOrder
from jobs.stages.table import Stage
from tests.jobs.taps import events, make_order, page, tap

pytestmark = pytest.mark.django_db


@pytest.fixture
def desk_client(client, desk):
    client.force_login(desk)
    return client


@pytest.fixture
def order(installer):
    """Handed over ten days ago, the recheck three days ago; one thing is watched."""
    row = make_order(installer, stage=Stage.INSPECTION)
    now = timezone.now()
    Defect.objects.create(
        workorder=row,
        order_panel=row.panels.get(panel="hood"),
        kind="haze",
        state=Defect.State.WATCH,
        round=1,
        outside_standard=False,
        found_by=installer,
        found_at=now,
    )
    WorkOrder.objects.filter(pk=row.pk).update(
        stage=Stage.CLOSED.value,
        handed_over_at=now - timedelta(days=10),
        recheck_at=now - timedelta(days=3),
    )
    row.refresh_from_db()
    return row


def test_a_closed_order_asks_what_the_recheck_found(desk_client, order):
    text = page(desk_client, "workorder_detail", order.pk)
    for outcome in ("fine", "watch", "redo", "did_not_come"):
        assert f'name="outcome" value="{outcome}"' in text


def test_a_recheck_that_is_overdue_stays_on_the_list_until_it_is_answered(
    desk_client, order
):
    plate = order.vehicle.plate
    assert plate in page(desk_client, "handovers")
    answer = tap(
        desk_client, "recheck_record", order.pk, outcome="fine", note="all dry"
    )
    assert answer.status_code == 303
    assert plate not in page(desk_client, "handovers")
    text = page(desk_client, "workorder_detail", order.pk)
    assert "all dry" in text
    assert events(order)[-1] == "recheck_found"


def test_what_was_watched_is_over_when_the_recheck_is_fine(desk_client, order):
    tap(desk_client, "recheck_record", order.pk, outcome="fine")
    assert Defect.objects.get().state == "gone"


def test_watched_on_it_is_looked_at_again(desk_client, order):
    again = (timezone.localtime() + timedelta(days=5)).strftime("%Y-%m-%dT%H:%M")
    tap(desk_client, "recheck_record", order.pk, outcome="watch", again_at=again)
    order.refresh_from_db()
    assert order.recheck_at > timezone.now()
    assert Defect.objects.get().state == Defect.State.WATCH
    assert order.vehicle.plate in page(desk_client, "handovers")
    assert (
        tap(desk_client, "recheck_record", order.pk, outcome="fine").status_code == 303
    )


def test_a_recheck_nobody_came_to_closes_itself(desk_client, order):
    long_ago = timezone.now() - timedelta(days=22)
    WorkOrder.objects.filter(pk=order.pk).update(recheck_at=long_ago)
    assert "did not come" in page(desk_client, "workorder_detail", order.pk)
    assert order.vehicle.plate not in page(desk_client, "handovers")


def test_until_14_days_after_its_window_it_is_waited_for(desk_client, order):
    while_ago = timezone.now() - timedelta(days=20)
    WorkOrder.objects.filter(pk=order.pk).update(recheck_at=while_ago)
    assert "waited for" in page(desk_client, "workorder_detail", order.pk)
    assert order.vehicle.plate in page(desk_client, "handovers")


def test_the_outcome_is_written_once(desk_client, order):
    tap(desk_client, "recheck_record", order.pk, outcome="fine")
    answer = tap(desk_client, "recheck_record", order.pk, outcome="redo")
    assert answer.status_code == 422


def test_a_car_that_was_handed_over_is_with_the_customer(desk_client, order):
    text = page(desk_client, "workorder_detail", order.pk)
    assert "nowhere yet" not in text
    assert "with the customer since" in text


def test_nobody_can_have_stayed_away_from_a_recheck_still_to_come(desk_client, order):
    later = timezone.now() + timedelta(days=4)
    WorkOrder.objects.filter(pk=order.pk).update(recheck_at=later)
    answer = tap(desk_client, "recheck_record", order.pk, outcome="did_not_come")
    assert answer.status_code == 422
    assert "This recheck is still to come." in answer.content.decode()
    assert not order.rechecks.exists()


def test_the_history_says_the_outcome_as_it_was_chosen_and_the_note(desk_client, order):
    tap(desk_client, "recheck_record", order.pk, outcome="redo", note="the hood lifts")
    text = page(desk_client, "workorder_history", order.pk)
    assert "Recheck: needs new film" in text
    assert "the hood lifts" in text
