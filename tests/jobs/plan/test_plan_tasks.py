"""The search in the background, and the plan carried on to what has happened since."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import timedelta
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from jobs import tasks
from jobs.crews.actions import add_absence
from jobs.models import BayPlan, Booking, Forecast, WorkOrder
from jobs.plan.actions import drop_plan, make_plan, publish_plan, stop_search
from jobs.plan.draft_queries import draft
from jobs.plan.forecast_actions import CARRY_ON
from jobs.plan.queries import (
    is_searched,
    plan_of,
    proposal,
    revision_now,
    search_of,
    standing,
)
from jobs.plan.replan_actions import carry_on
from jobs.plan.searching import search_for, seconds_for
from jobs.scheduling import Activity, Due, Level, Problem, Settings, late_after
from jobs.stages.table import Stage
from shopapp.frame import Refused, perform
from shopapp.models import BackgroundTask, Person
from tests.furnished import Furnished
from tests.makers import make_tap
from tests.shop_fixtures import _furnished_copy, furnished_base, shop  # noqa: F401

TINY = Settings(workers=1, deterministic=0.05)


def press(shop: Furnished, do: Any, **facts: Any) -> Any:
    tap = make_tap(shop.people["manager"], at=timezone.now())
    return perform(tap, do, **facts)


def made(shop: Furnished) -> BayPlan:
    answer = press(shop, make_plan, quick=draft(now=timezone.now()))
    return BayPlan.objects.get(pk=answer["pk"])


@pytest.fixture
def tiny_search(shop: Furnished, monkeypatch: pytest.MonkeyPatch) -> None:
    """A search of two cars that does not hang on the clock, and is short."""
    Booking.objects.update(state=Booking.State.CANCELLED)
    left = WorkOrder.objects.filter(stage__in=[Stage.INSTALL, Stage.INSPECTION])
    WorkOrder.objects.exclude(pk__in=left[:2]).update(stage=Stage.CLOSED.value)
    monkeypatch.setattr(tasks, "CLASHES_S", 0.0)
    monkeypatch.setattr(
        tasks,
        "search_for",
        lambda work, *, clock: search_for(work, clock=clock, settings=TINY),
    )


# -- the search --------------------------------------------------------------------


@pytest.mark.usefixtures("tiny_search")
def test_the_search_proposes_what_it_has_found_with_its_bound(shop: Furnished):
    row = made(shop)
    task = search_of(row)
    assert task
    tasks.search_plan(task.pk)
    task.refresh_from_db()
    found = proposal()
    assert found
    assert (task.state, task.error) == ("done", "")
    assert search_of(found) == task
    assert not is_searched(found)
    plan = plan_of(found)
    assert plan.origin in ("solver", "quick")
    assert [each.level for each in plan.reached] == ["late", "change", "stay"]
    assert found.made_by == shop.people["manager"]


@pytest.mark.usefixtures("tiny_search")
def test_a_search_whose_proposal_was_dropped_changes_nothing(shop: Furnished):
    row = made(shop)
    task = search_of(row)
    assert task
    press(shop, drop_plan, plan_pk=row.pk)
    tasks.search_plan(task.pk)
    assert proposal() is None


@pytest.mark.usefixtures("tiny_search")
def test_a_search_that_is_stopped_before_it_begins_is_not_begun(shop: Furnished):
    row = made(shop)
    task = search_of(row)
    assert task
    press(shop, stop_search, plan_pk=row.pk)
    tasks.search_plan(task.pk)
    task.refresh_from_db()
    assert task.progress == {}
    assert proposal() == row


@dataclass
class Asked:
    """A task that hears how far it is, and is asked to stop at some time."""

    cancel: bool = False
    told: list[dict[str, object]] = field(default_factory=list)

    def tell(self, **progress: object) -> None:
        self.told.append(progress)

    def is_cancelled(self) -> bool:
        return self.cancel


ONE = Problem(
    name="one",
    horizon=9,
    activities=(Activity(key="a", job="a", size=2),),
    dues=(Due(activity="a", since="a", late_by_ready=late_after(1)),),
    levels=(Level.LATE,),
)


def test_a_stopped_search_answers_with_the_plan_that_it_has():
    found = search_for(Asked(cancel=True), clock=lambda: 0.0, settings=TINY)(ONE)
    assert found.by_key["a"].end == 2


def test_a_search_is_given_time_by_the_number_of_cars():
    assert [seconds_for(n) for n in (1, 15, 16, 40, 41, 200)] == [
        *(10, 10, 30, 30, 60, 60)
    ]


# -- carried on --------------------------------------------------------------------


def test_every_open_car_has_a_forecast(shop: Furnished):
    carry_on(now=timezone.now())
    expected = set(
        Booking.objects.filter(state=Booking.State.BOOKED).values_list("pk", flat=True)
    )
    here = set(
        WorkOrder.objects.exclude(stage=Stage.CLOSED)
        .exclude(booking=None)
        .values_list("booking", flat=True)
    )
    told = set(Forecast.objects.values_list("booking", flat=True))
    assert told == expected | here


def test_nothing_recorded_is_nothing_done_and_asks_little(shop: Furnished):
    now = timezone.now()
    carry_on(now=now)
    before = revision_now()
    with CaptureQueriesContext(connection) as asked:
        assert not carry_on(now=now)
    assert len(asked) <= 2
    assert revision_now() == before


def test_what_was_recorded_and_moves_nothing_tells_no_page(shop: Furnished):
    now = timezone.now()
    carry_on(now=now)
    press(shop, make_plan, quick=draft(now=now))
    before = revision_now()
    assert not carry_on(now=now)
    assert revision_now() == before


def test_pages_hear_of_what_moves_once(shop: Furnished):
    now = timezone.now()
    carry_on(now=now)
    booking = Booking.objects.filter(state=Booking.State.BOOKED).order_by("-pk")[0]
    Booking.objects.filter(pk=booking.pk).update(state=Booking.State.CANCELLED)
    shop_moves(shop)
    before = revision_now()
    assert carry_on(now=now)
    assert revision_now() == before + 1
    assert not carry_on(now=now)
    assert not Forecast.objects.filter(booking=booking).exists()


def shop_moves(shop: Furnished) -> None:
    """Anything that is recorded."""
    press(shop, make_plan, quick=draft(now=timezone.now()))


def test_the_plan_in_force_is_carried_on_and_not_made_anew(shop: Furnished):
    row = made(shop)
    press(shop, publish_plan, plan_pk=row.pk)
    carry_on(now=timezone.now())
    before = {step.key: step for step in plan_of(row).steps}
    for step in plan_of(standing()).steps:
        was = before[step.key]
        assert (step.spot, step.people) == (was.spot, was.people), step.key


def test_a_person_who_is_away_is_replaced_in_the_plan_as_it_stands(shop: Furnished):
    row = made(shop)
    press(shop, publish_plan, plan_pk=row.pk)
    day = timezone.localdate()
    shop.people["installer"].absences.create(
        first_day=day, last_day=day + timedelta(days=30)
    )
    shop_moves(shop)
    carry_on(now=timezone.now())
    gone = f"person-{shop.people['installer'].pk}"
    people = {key for step in plan_of(standing()).steps for key in step.people}
    assert people
    assert gone not in people


def test_a_quarter_of_an_hour_moves_the_plan(shop: Furnished):
    now = timezone.now()
    carry_on(now=now)
    carry_on(now=now + timedelta(minutes=15))
    assert Forecast.objects.filter(as_of=now + timedelta(minutes=15)).exists()


def test_a_car_that_waits_for_its_customer_is_ready_since_its_final_look(
    shop: Furnished,
):
    order = WorkOrder.objects.filter(stage=Stage.CURE, final_looks=None).first()
    assert order
    at = order.promised_at - timedelta(hours=1)
    order.final_looks.create(round=order.round, outcome="fine", at=at)
    carry_on(now=timezone.now())
    told = Forecast.objects.get(booking=order.booking_id)
    assert (told.ready_at, told.standing) == (at, "fits")


def test_a_shop_without_cars_stands_by_a_plan_of_nothing_and_makes_none(
    shop: Furnished,
):
    Booking.objects.update(state=Booking.State.CANCELLED)
    WorkOrder.objects.update(stage=Stage.CLOSED.value)
    carry_on(now=timezone.now())
    assert plan_of(standing()).steps == ()
    assert not Forecast.objects.exists()
    with pytest.raises(Refused, match="There is no car to plan."):
        made(shop)
    assert proposal() is None


def test_a_shop_without_people_says_so_and_fails_nothing(shop: Furnished):
    Person.objects.update(can_prep=False, can_install=False, can_inspect=False)
    carry_on(now=timezone.now())
    assert plan_of(standing()).unplaced


def test_the_bell_of_a_move_carries_the_plan_on(shop: Furnished):
    bell = {"kind": "solvers.carry_on", "subject": "the plan", "state": "waiting"}
    task, _ = BackgroundTask.objects.get_or_create(**bell)
    tasks.carry_the_plan_on(task.pk)
    task.refresh_from_db()
    assert task.state == "done"
    assert standing()


# -- somebody is sick ----------------------------------------------------------------


def sick(shop: Furnished, days: int = 3) -> BackgroundTask:
    person = shop.people["installer"]
    press(
        shop,
        add_absence,
        person_pk=person.pk,
        last_day=timezone.localdate() + timedelta(days=days),
        because="sick",
    )
    return BackgroundTask.objects.get(kind=CARRY_ON, state="waiting")


def test_what_moves_when_somebody_is_sick_is_proposed_and_searched(shop: Furnished):
    press(shop, publish_plan, plan_pk=made(shop).pk)
    task = sick(shop)
    tasks.carry_the_plan_on(task.pk)
    task.refresh_from_db()
    found = proposal()
    assert (task.state, task.error) == ("done", "")
    assert found
    gone, today = f"person-{shop.people['installer'].pk}", timezone.localdate()
    for step in plan_of(found).steps:
        if timezone.localdate(step.starts_at) <= today + timedelta(days=3):
            assert gone not in step.people
    assert is_searched(found)


def test_before_the_first_plan_nothing_is_proposed_when_somebody_is_sick(
    shop: Furnished,
):
    BayPlan.objects.update(state=BayPlan.State.REPLACED)
    tasks.carry_the_plan_on(sick(shop).pk)
    assert proposal() is None


def test_a_proposal_that_waits_gives_way_to_one_that_knows_who_is_sick(
    shop: Furnished,
):
    press(shop, publish_plan, plan_pk=made(shop).pk)
    old = made(shop)
    tasks.carry_the_plan_on(sick(shop).pk)
    old.refresh_from_db()
    assert old.state == BayPlan.State.DROPPED
    assert proposal()
