"""The manager's plan: proposed, published, dropped, moved, refused."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta
from typing import Any

import pytest
from django.utils import timezone

from jobs.crews.actions import add_absence
from jobs.models import (
    BayPlan,
    Booking,
    BookingEvent,
    CarWish,
    Forecast,
    WorkOrder,
    WorkOrderEvent,
)
from jobs.plan.actions import (
    drop_plan,
    improve_plan,
    make_plan,
    publish_plan,
    stop_search,
)
from jobs.plan.draft_queries import draft
from jobs.plan.making import Draft
from jobs.plan.move_actions import move_car
from jobs.plan.queries import (
    is_searched,
    is_still_the_answer,
    plan_of,
    proposal,
    published,
    search_of,
    standing,
)
from jobs.plan.stored import plan_to_json
from jobs.stages.table import Stage
from shopapp.frame import Refused, Tap, perform
from shopapp.models import BackgroundTask, Bay, Person, shop_date
from tests.furnished import Furnished
from tests.makers import make_tap
from tests.shop_fixtures import _furnished_copy, furnished_base, shop  # noqa: F401

State = BayPlan.State


def press(by: Person | None) -> Tap:
    return make_tap(by, at=timezone.now())


def made(shop: Furnished, *, at: datetime | None = None) -> BayPlan:
    """A proposal."""
    at = at or timezone.now()
    tap = press(shop.people["manager"])
    answer = perform(tap, make_plan, quick=draft(now=at))
    return BayPlan.objects.get(pk=answer["pk"])


def in_force(shop: Furnished) -> BayPlan:
    """A published plan."""
    row = made(shop)
    perform(press(shop.people["manager"]), publish_plan, plan_pk=row.pk)
    row.refresh_from_db()
    return row


def refused(shop: Furnished, do: Any, **facts: Any) -> str:
    """What is said to a manager who may not."""
    with pytest.raises(Refused) as error:
        perform(press(shop.people["manager"]), do, **facts)
    return str(error.value)


def expected() -> Booking:
    return Booking.objects.filter(state=Booking.State.BOOKED).order_by("-pk")[0]


# -- made --------------------------------------------------------------------------


def test_a_press_proposes_the_quick_plan_at_once_and_asks_for_a_better_one(
    shop: Furnished,
):
    row = made(shop)
    plan = plan_of(row)
    assert row.state == State.PROPOSED
    assert plan.origin == "quick"
    assert {car.car for car in plan.cars} >= {f"booking-{expected().pk}"}
    assert is_searched(row)
    assert search_of(row).payload == {"plan": row.pk}


def test_a_newer_proposal_takes_the_place_of_the_older_and_stops_its_search(
    shop: Furnished,
):
    older = made(shop)
    newer = made(shop)
    older.refresh_from_db()
    assert older.state == State.DROPPED
    assert search_of(older).cancel
    assert proposal() == newer
    assert is_searched(newer)


def test_the_search_is_stopped_and_what_was_found_stays_proposed(shop: Furnished):
    row = made(shop)
    perform(press(shop.people["manager"]), stop_search, plan_pk=row.pk)
    assert not is_searched(row)
    assert proposal() == row


def test_a_dropped_proposal_cannot_be_published(shop: Furnished):
    row = made(shop)
    perform(press(shop.people["manager"]), drop_plan, plan_pk=row.pk)
    assert proposal() is None
    assert "dropped" in refused(shop, publish_plan, plan_pk=row.pk)


def test_the_same_problem_is_not_searched_again(shop: Furnished):
    now = timezone.now()
    first = made(shop, at=now)
    first.facts = plan_to_json(replace(plan_of(first), origin="solver"))
    first.save()
    perform(press(shop.people["manager"]), publish_plan, plan_pk=first.pk)
    again = made(shop, at=now)
    assert is_still_the_answer(again)
    assert plan_of(again).moves == ()
    assert plan_of(again).steps == plan_of(first).steps
    assert search_of(again) is None


def test_a_quick_plan_that_was_published_is_searched_when_a_plan_is_asked_for(
    shop: Furnished,
):
    now = timezone.now()
    first = made(shop, at=now)
    assert not plan_of(first).was_searched
    perform(press(shop.people["manager"]), publish_plan, plan_pk=first.pk)
    again = made(shop, at=now)
    assert is_searched(again)
    assert not is_still_the_answer(again)


# -- published ---------------------------------------------------------------------


def test_a_published_plan_is_in_force_and_the_one_before_it_is_replaced(
    shop: Furnished,
):
    first = in_force(shop)
    move(shop, expected(), day=next_open(9))
    second = in_force(shop)
    first.refresh_from_db()
    assert first.state == State.REPLACED
    assert published() == second
    assert (second.settled_by, second.made_by) == (shop.people["manager"],) * 2
    assert plan_of(standing()).steps == plan_of(second).steps


def test_each_car_whose_day_bay_or_people_changed_has_it_in_its_history(
    shop: Furnished,
):
    in_force(shop)
    booked = BookingEvent.objects.filter(what="planned")
    here = WorkOrderEvent.objects.filter(what="planned")
    assert here.exists()
    before = booked.count(), here.count()
    in_force(shop)
    assert (booked.count(), here.count()) == before
    move(shop, expected(), day=next_open(20))
    in_force(shop)
    (told,) = booked.filter(booking=expected()).order_by("-pk")[:1]
    assert shop_date(datetime.fromisoformat(told.facts["now_for"])) == next_open(20)


def test_a_published_plan_says_when_each_car_is_ready(shop: Furnished):
    row = in_force(shop)
    for car in plan_of(row).cars:
        told = Forecast.objects.get(booking=int(car.car.split("-")[1]))
        assert (told.ready_at, told.standing) == (car.ready_at, car.standing)
        assert told.plan == row


def test_a_step_that_moves_is_numbered_on(shop: Furnished):
    booking = expected()
    first = in_force(shop)
    move(shop, booking, day=next_open(16))
    second = in_force(shop)
    before = {step.key: step for step in plan_of(first).steps}
    for step in plan_of(second).steps:
        was = before.get(step.key)
        moved = was is not None and replace(step, sequence=was.sequence) != was
        assert step.sequence == (was.sequence if was else 0) + moved
    assert any(step.sequence for step in plan_of(second).steps)
    assert {move.car for move in plan_of(second).moves} >= {f"booking-{booking.pk}"}


def test_a_plan_is_refused_where_a_stage_has_begun_meanwhile(shop: Furnished):
    row = made(shop)
    order = shop.prep
    order.stage = Stage.INSTALL.value
    order.save()
    said = refused(shop, publish_plan, plan_pk=row.pk)
    assert order.vehicle.plate in said
    assert "gone on since" in said
    assert proposal() == row


def test_a_plan_is_refused_where_its_car_was_cancelled_meanwhile(shop: Furnished):
    row = made(shop)
    booking = expected()
    Booking.objects.filter(pk=booking.pk).update(state=Booking.State.CANCELLED)
    assert booking.vehicle.plate in refused(shop, publish_plan, plan_pk=row.pk)


def test_a_plan_is_refused_where_somebody_has_called_in_sick_meanwhile(
    shop: Furnished,
):
    row = made(shop)
    chidi = shop.people["installer"]
    last = timezone.localdate() + timedelta(days=9)
    perform(
        press(shop.people["manager"]),
        add_absence,
        person_pk=chidi.pk,
        last_day=last,
    )
    assert "Chidi" in refused(shop, publish_plan, plan_pk=row.pk)


def test_a_car_booked_meanwhile_does_not_stand_in_the_way(shop: Furnished):
    row = made(shop)
    extra = expected()
    panels = list(extra.panels.all())
    extra.pk = None
    extra.save()
    for panel in panels:
        panel.pk, panel.booking = None, extra
        panel.save()
    perform(press(shop.people["manager"]), publish_plan, plan_pk=row.pk)
    assert published() == row


def test_what_is_published_is_what_was_read(shop: Furnished):
    row = made(shop)
    better = replace(plan_of(row), steps=plan_of(row).steps[:-1])
    answer = perform(
        press(None),
        improve_plan,
        plan_pk=row.pk,
        searched=Draft(plan=better, revision=0),
    )
    assert answer["pk"] != row.pk
    assert "newer one" in refused(shop, publish_plan, plan_pk=row.pk)
    assert proposal().pk == answer["pk"]


def test_the_second_of_two_managers_is_told_so(shop: Furnished):
    row = made(shop)
    perform(press(shop.people["manager"]), publish_plan, plan_pk=row.pk)
    assert "published already" in refused(shop, publish_plan, plan_pk=row.pk)


# -- moved -------------------------------------------------------------------------


def next_open(days: int) -> Any:
    day = timezone.localdate() + timedelta(days=days)
    return day + timedelta(days=1) if day.weekday() == 6 else day


def move(shop: Furnished, booking: Booking, **facts: Any) -> None:
    perform(press(shop.people["desk"]), move_car, booking_pk=booking.pk, **facts)


def test_a_car_is_moved_to_a_day_a_bay_and_a_person(shop: Furnished):
    booking, chidi = expected(), shop.people["installer"]
    bay = Bay.objects.all()[1]
    move(shop, booking, day=next_open(9), half="morning", bay=bay, people=[chidi])
    wish = CarWish.objects.get(booking=booking)
    booking.refresh_from_db()
    assert (wish.day, wish.half, booking.bay) == (next_open(9), "morning", bay)
    assert list(wish.people.all()) == [chidi]
    event = booking.events.get(what="plan_fixed")
    assert event.facts["people"] == [chidi.pk]
    assert BackgroundTask.objects.filter(kind="solvers.carry_on").exists()


@pytest.mark.parametrize(
    ("facts", "said"),
    [
        ({"day": datetime(2020, 1, 1).date()}, "passed"),  # noqa: DTZ001
        ({"half": "morning"}, "Choose the day"),
    ],
)
def test_a_move_that_cannot_be_meant_is_refused(
    facts: dict[str, Any], said: str, shop: Furnished
):
    with pytest.raises(Refused, match=said):
        move(shop, expected(), **facts)


def test_only_who_lays_film_is_chosen_for_it(shop: Furnished):
    with pytest.raises(Refused, match="Ben Castor does not lay film"):
        move(shop, expected(), people=[shop.people["desk"]])


def test_a_car_whose_film_work_has_begun_stays(shop: Furnished):
    order = WorkOrder.objects.filter(stage=Stage.INSTALL).first()
    assert order is not None
    with pytest.raises(Refused, match="has begun"):
        move(shop, order.booking, day=next_open(9))


def test_a_car_that_is_here_has_the_move_in_the_history_of_its_order(
    shop: Furnished,
):
    move(shop, shop.prep.booking, day=next_open(9))
    assert shop.prep.events.filter(what="plan_fixed").exists()
