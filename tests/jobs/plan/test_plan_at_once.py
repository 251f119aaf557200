"""Two managers, or a manager and the floor, at the same moment.

Every test runs on SQLite here and on PostgreSQL by `python -m tests.on_postgres`.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from django.utils import timezone

from jobs.models import BayPlan, BookingEvent, WorkOrder
from jobs.plan.actions import make_plan, publish_plan
from jobs.plan.draft_queries import draft
from jobs.plan.replan_actions import carry_on
from jobs.stages.table import Stage
from jobs.workorders.actions import advance_stage
from shopapp.frame import perform
from shopapp.models import Person
from tests.jobs.taps import make_order
from tests.makers import make_bay, make_booking, make_person, make_tap
from tests.rivals import at_once, one_then_other, refusals

pytestmark = [pytest.mark.postgres, pytest.mark.django_db(transaction=True)]
State = BayPlan.State


@pytest.fixture
def managers() -> list[Person]:
    """Two who hold every role."""
    make_bay()
    names = ("mara", "nora")
    return [make_person("manager", "desk", "installer", username=n) for n in names]


def press(by: Person, do: Any, **facts: Any) -> Callable[[], Any]:
    """A press that waits to be made."""
    tap = make_tap(by, at=timezone.now())
    return lambda: perform(tap, do, **facts)


@pytest.fixture
def car(managers: list[Person]) -> WorkOrder:
    """A car in prep."""
    booking = make_booking(managers[0], at=timezone.now())
    return make_order(managers[0], stage=Stage.PREP, booking=booking)


def proposed(by: Person) -> int:
    answer = press(by, make_plan, quick=draft(now=timezone.now()))()
    return int(answer["pk"])


def test_of_two_who_publish_one_proposal_one_is_told(
    managers: list[Person], car: WorkOrder
):
    pk = proposed(managers[0])
    answers = at_once(*(press(who, publish_plan, plan_pk=pk) for who in managers))
    (said,) = refusals(answers)
    assert "published already" in said
    assert BayPlan.objects.filter(state=State.PUBLISHED).count() == 1
    assert car.events.filter(what="planned").count() == 1
    assert not BookingEvent.objects.filter(what="planned").exists()


def test_of_two_who_plan_the_later_proposal_stays(
    managers: list[Person], car: WorkOrder
):
    quick = draft(now=timezone.now())
    answers = at_once(*(press(who, make_plan, quick=quick) for who in managers))
    assert refusals(answers) == []
    states = sorted(BayPlan.objects.values_list("state", flat=True))
    assert states == [State.DROPPED, State.PROPOSED]


def test_a_stage_that_begins_while_the_plan_is_published_is_not_overlooked(
    managers: list[Person], car: WorkOrder
):
    pk = proposed(managers[0])
    car.panels.update(ready_at=timezone.now())
    goes_on = press(managers[1], advance_stage, workorder_pk=car.pk, to=Stage.INSTALL)
    answers = one_then_other(goes_on, press(managers[0], publish_plan, plan_pk=pk))
    (said,) = refusals(answers)
    assert "gone on since" in said
    assert not BayPlan.objects.filter(state=State.PUBLISHED).exists()


def test_two_workers_carry_on_one_plan(managers: list[Person], car: WorkOrder):
    carry_on(now=timezone.now())
    at = timezone.now()
    at_once(*(lambda: carry_on(now=at) for _ in range(2)))
    assert BayPlan.objects.filter(state=State.STANDING).count() == 1
