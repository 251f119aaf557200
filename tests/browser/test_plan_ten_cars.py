"""The manager plans ten cars, moves one by keyboard, loses a person, plans again.

A real browser, a real worker that searches; the search is stopped, not waited for.
"""

from __future__ import annotations

from typing import Any

import pytest
from playwright.sync_api import Locator, expect

from jobs.models import Absence, BayPlan, CarWish
from jobs.plan.stored import plan_from_json
from tests.browser.conftest import PATIENCE_MS, Hands, OpenShop, SignIn, rows_of

pytestmark = [pytest.mark.browser, pytest.mark.redis]

MOST_TABS = 80
State = BayPlan.State


def keyed_to(hands: Hands, what: Locator) -> None:
    """Go there by the keyboard alone."""
    for _ in range(MOST_TABS):
        if what.evaluate("element => element === document.activeElement"):
            return
        hands.page.keyboard.press("Tab")
    raise AssertionError(f"{what} is not reached by the keyboard")


def plan_and_publish(manager: Hands) -> str:
    """Plan, stop the search, publish; what the proposal said."""
    manager.go("/plan/")
    manager.press("Plan")
    assert manager.path == "/plan/proposal/"
    main = manager.page.locator("main")
    stop = main.get_by_role("button", name="Stop the search")
    if stop.count():
        manager.press("Stop the search")
    # Asked again every second until the search has ended, and not afterwards.
    expect(main.locator("[hx-trigger='every 1s']")).to_have_count(
        0, timeout=PATIENCE_MS
    )
    said = main.inner_text()
    manager.open("How good is it?")
    manager.shot("proposal")
    manager.press("Publish")
    manager.says("Published: this is the plan now.")
    return said


def published(shop: OpenShop, blocker: Any) -> tuple[int, set[str]]:
    """The plan in force: its row, its cars."""
    with rows_of(shop, blocker):
        row = BayPlan.objects.get(state=State.PUBLISHED)
        return row.pk, {car.car for car in plan_from_json(row.facts).cars}


def test_ten_cars_are_planned_one_is_moved_one_person_falls_sick(
    open_shop: OpenShop, sign_in: SignIn, django_db_blocker: Any
):
    manager = sign_in("alva")
    plan_and_publish(manager)
    first, cars = published(open_shop, django_db_blocker)
    assert len(cars) >= 10

    pk = move_by_keyboard(manager)
    with rows_of(open_shop, django_db_blocker):
        wish = CarWish.objects.select_related("booking__bay").get(booking=pk)
        fixed = wish.booking.bay
        assert fixed is not None
        assert wish.day is not None

    touches = manager.touches
    manager.go("/plan/")
    manager.follow("Somebody is sick")
    manager.send(manager.page.get_by_role("button", name="Sick today · Chidi Lund"))
    assert manager.touches - touches == 2
    manager.shot("away")
    with rows_of(open_shop, django_db_blocker):
        assert Absence.objects.filter(because=Absence.Because.SICK).exists()

    said = plan_and_publish(manager)
    assert "move" in said
    manager.says("Away today: Chidi Lund")
    manager.shot("today")
    second, same = published(open_shop, django_db_blocker)
    assert (second != first, same <= cars) == (True, True)


def move_by_keyboard(manager: Hands) -> int:
    """Fix the last car of the day to a day and a bay, without touching anything."""
    manager.go("/plan/")
    page, touches = manager.page, manager.touches
    keyed_to(manager, page.locator(".plan-car a.button").last)
    page.keyboard.press("Enter")
    page.wait_for_url("**/plan/cars/*/")
    keyed_to(manager, page.locator("input[name='on'][value='']"))
    page.keyboard.press("ArrowDown")
    page.keyboard.press("ArrowDown")
    keyed_to(manager, page.locator("input[name='half']:checked"))
    keyed_to(manager, page.locator("input[name='bay'][value='']"))
    page.keyboard.press("ArrowDown")
    looked = page.locator("#plan-look")
    expect(looked).to_contain_text("While the other cars stay", timeout=PATIENCE_MS)
    manager.shot("looked")
    keyed_to(manager, page.get_by_role("button", name="Keep it"))
    page.keyboard.press("Enter")
    manager.says("Kept. Plan again to see what moves for it.")
    manager.shot("moved")
    assert manager.touches == touches
    return int(manager.path.rstrip("/").rpartition("/")[2])
