"""The one field of every page: by hand and by keyboard, in the spelling of a hurry."""

from __future__ import annotations

from typing import Any

import pytest
from playwright.sync_api import expect

from jobs.models import Booking, Roll, WorkOrder
from mixing.models import Vessel
from tests.browser.conftest import PATIENCE_MS, PHONE, Hands, OpenShop, SignIn, rows_of

pytestmark = [pytest.mark.browser, pytest.mark.redis]

TABS = 3
"""From the top of a page to the field: the way past the rail, the shop's name."""


def slurred(text: str) -> str:
    """As somebody types who listens to a phone: small letters, no signs between."""
    return "".join(sign for sign in text.lower() if sign.isalnum())


def asked(shop: OpenShop, blocker: Any) -> dict[str, tuple[str, ...]]:
    """What is typed, and what has to be read at once."""
    with rows_of(shop, blocker):
        heads = ("vehicle", "customer", "bay")
        rows = WorkOrder.objects.select_related(*heads).exclude(bay=None)
        order = rows.exclude(vehicle__plate="").exclude(customer__phone="").first()
        assert order is not None
        assert order.bay is not None
        where = (order.vehicle.plate, order.bay.name, "promised")
        comes = Booking.objects.filter(state=Booking.State.BOOKED)
        booked = comes.exclude(vehicle__plate="").select_related("vehicle").first()
        roll, vessel = Roll.objects.first(), Vessel.objects.first()
        assert booked is not None
        assert roll is not None
        assert vessel is not None
        return {
            slurred(order.vehicle.plate): where,
            order.customer.name.split()[-1].upper(): where,
            order.customer.phone: where,
            slurred(order.number): where,
            slurred(booked.vehicle.plate): ("expected", "comes", "promised"),
            slurred(roll.code): (f"Roll {roll.code}", "left"),
            slurred(vessel.code): (f"{vessel.code} ·",),
        }


def reads(desk: Hands, said: tuple[str, ...]) -> None:
    for words in said:
        expect(desk.page.locator("main")).to_contain_text(words, timeout=PATIENCE_MS)


def test_it_is_found_from_page_to_page_without_a_hand_on_the_mouse(
    sign_in: SignIn, open_shop: OpenShop, django_db_blocker
):
    desk = sign_in("ben")
    desk.go("/plan/")
    for typed, said in asked(open_shop, django_db_blocker).items():
        for _ in range(TABS):
            desk.page.keyboard.press("Tab")
        expect(desk.page.locator(".rail [name=q]")).to_be_focused()
        desk.page.keyboard.type(typed)
        desk.page.keyboard.press("Enter")
        expect(desk.page.locator("main [name=q]")).to_have_value(
            typed, timeout=PATIENCE_MS
        )
        reads(desk, said)


def test_it_is_found_by_hand_on_a_phone(
    sign_in: SignIn, open_shop: OpenShop, django_db_blocker
):
    desk = sign_in("ben", size=PHONE)
    desk.go("/bookings/")
    typed, said = next(iter(asked(open_shop, django_db_blocker).items()))
    desk.step(desk.page.locator("a.to-search"))
    desk.put("q", typed)
    desk.step(desk.page.locator("main").get_by_role("button", name="Find"))
    reads(desk, said)
    assert desk.touches == 3
