"""After an absence the manager finds what moves ready, once."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

import pytest
from django.utils import timezone

from jobs.crews.actions import add_absence, take_back_absence
from jobs.models import BayPlan, Booking, Forecast, WorkOrder
from jobs.plan.actions import drop_plan, make_plan, publish_plan
from jobs.plan.draft_queries import draft
from jobs.plan.planned import Why
from jobs.plan.queries import (
    in_force,
    plan_of,
    proposal,
    published,
    revision_now,
    search_of,
    standing,
)
from jobs.plan.replan_actions import carry_on
from shopapp.frame import perform
from shopapp.models import Person
from tests.furnished import Furnished
from tests.makers import make_tap
from tests.shop_fixtures import _furnished_copy, furnished_base, shop  # noqa: F401

NOW = timezone.now()


def press(shop: Furnished, do: Any, **facts: Any) -> Any:
    return perform(make_tap(shop.people["manager"], at=NOW), do, **facts)


@pytest.fixture
def planned(shop: Furnished) -> BayPlan:
    """A plan of this hour is in force."""
    row = press(shop, make_plan, quick=draft(now=NOW))
    press(shop, publish_plan, plan_pk=row["pk"])
    carry_on(now=NOW)
    found = published()
    assert found
    assert proposal() is None
    return found


def busiest(planned: BayPlan) -> Person:
    """Somebody who lays film of whom work is planned that has not begun."""
    begun = WorkOrder.objects.values_list("crew", flat=True)
    keys = [key for step in plan_of(planned).steps for key in step.people]
    ahead = [int(key.split("-")[1]) for key in keys]
    pk = max(set(ahead), key=lambda pk: (pk not in begun, ahead.count(pk)))
    return Person.objects.get(pk=pk)


def sick(shop: Furnished, person: Person) -> int:
    last = timezone.localdate() + timedelta(days=60)
    days = {"last_day": last, "because": "sick"}
    answer = press(shop, add_absence, person_pk=person.pk, **days)
    return int(answer["pk"])


def test_who_calls_in_sick_is_proposed_away_with_what_moves(
    shop: Furnished, planned: BayPlan
):
    person = busiest(planned)
    sick(shop, person)
    assert carry_on(now=NOW)
    row = proposal()
    assert row
    assert row.made_by is None
    plan = plan_of(row)
    assert {each.why for each in plan.because} >= {Why.AWAY}
    assert plan.moves
    assert f"person-{person.pk}" not in {key for s in plan.steps for key in s.people}
    assert search_of(row)
    assert published() == planned


def test_it_is_proposed_once_and_no_page_hears_of_nothing(
    shop: Furnished, planned: BayPlan
):
    sick(shop, busiest(planned))
    carry_on(now=NOW)
    row, before = proposal(), revision_now()
    assert not carry_on(now=NOW)
    assert not carry_on(now=NOW)
    assert (proposal(), revision_now()) == (row, before)


def test_a_dropped_one_is_not_made_again_until_something_else_changes(
    shop: Furnished, planned: BayPlan
):
    person = busiest(planned)
    sick(shop, person)
    carry_on(now=NOW)
    row = proposal()
    assert row
    press(shop, drop_plan, plan_pk=row.pk)
    for quarters in (0, 1, 2):
        carry_on(now=NOW + quarters * timedelta(minutes=15))
        found = proposal()
        # Time may push other work; the absence is not answered a second time.
        because = plan_of(found).because if found else ()
        assert found is None or {c.why for c in because} - {Why.AWAY}


def test_who_is_here_after_all_takes_the_proposal_back(
    shop: Furnished, planned: BayPlan
):
    pk = sick(shop, busiest(planned))
    carry_on(now=NOW)
    assert proposal()
    press(shop, take_back_absence, absence_pk=pk)
    assert carry_on(now=NOW)
    assert proposal() is None
    assert plan_of(standing()).steps == in_force().steps
    sick(shop, busiest(planned))
    carry_on(now=NOW)
    assert proposal()


def test_a_proposal_that_a_manager_asked_for_since_is_enough(
    shop: Furnished, planned: BayPlan
):
    sick(shop, busiest(planned))
    made = press(shop, make_plan, quick=draft(now=NOW))
    carry_on(now=NOW)
    found = proposal()
    assert found
    assert found.pk == made["pk"]


def test_published_it_is_the_plan_and_nothing_waits(shop: Furnished, planned: BayPlan):
    sick(shop, busiest(planned))
    carry_on(now=NOW)
    row = proposal()
    assert row
    press(shop, publish_plan, plan_pk=row.pk)
    carry_on(now=NOW)
    assert proposal() is None
    assert plan_of(standing()).because == ()


def test_before_the_first_plan_nothing_is_proposed(shop: Furnished):
    Forecast.objects.all().delete()
    BayPlan.objects.all().delete()
    carry_on(now=NOW)
    sick(shop, shop.people["installer"])
    carry_on(now=NOW)
    assert proposal() is None


def test_a_cancelled_booking_proposes_nothing(shop: Furnished, planned: BayPlan):
    booking = Booking.objects.filter(state=Booking.State.BOOKED).order_by("-pk")[0]
    Booking.objects.filter(pk=booking.pk).update(state=Booking.State.CANCELLED)
    press(shop, make_plan, quick=draft(now=NOW))
    press(shop, drop_plan, plan_pk=proposal().pk)
    carry_on(now=NOW)
    assert proposal() is None


# -- the pages ---------------------------------------------------------------------


def words(client: Any, path: str) -> str:
    return " ".join(client.get(path).content.decode().split())


def test_who_pressed_sick_is_told_and_both_pages_lead_to_what_moves(
    shop: Furnished, planned: BayPlan, client: Any
):
    person = busiest(planned)
    client.force_login(shop.people["manager"])
    url = f"/people-away/{person.pk}/sick-today/"
    page = client.post(url, {"key": "a-key-of-one-press"}, follow=True)
    assert f"{person} is away today." in page.content.decode()
    carry_on(now=NOW)
    row = proposal()
    if row is None:  # Late in the day nothing of today is left to move.
        return
    for path in ("/plan/", "/people-away/"):
        page = words(client, path)
        assert "A proposal waits" in page
        assert 'href="/plan/proposal/"' in page
    page = words(client, "/plan/proposal/")
    assert f"{person} is not there for" in page
    assert "What begins within 4 h stays as it is." in page
