"""A booking by phone: one screen, and no hand on the mouse."""

from __future__ import annotations

import re

import pytest
from playwright.sync_api import expect

from tests.browser.conftest import PATIENCE_MS, PC, SignIn

pytestmark = [pytest.mark.browser, pytest.mark.redis]

MOST_TABS = 15
"""From the name to the day that fits; a press there leads on to the button."""


def test_a_call_is_booked_on_one_screen_by_keyboard_alone(sign_in: SignIn):
    desk = sign_in("ben", size=PC)
    page, keys = desk.page, desk.page.keyboard
    desk.go("/bookings/new/")
    expect(page.locator(".offers button").first).to_be_visible(timeout=PATIENCE_MS)
    for name in ("name", "phone", "model", "size_class", "package", "arrives_at"):
        box = page.locator(f"main [name={name}]").bounding_box()
        assert box is not None
        assert box["y"] + box["height"] <= PC[1], name
    book = page.locator("#booking-when").get_by_role("button", name="Book it")
    expect(book).to_be_in_viewport()
    page.locator("[name=name]").focus()
    keys.type("Kim Vale")
    tabs, at = 0, ""
    while at != "offer" and tabs < MOST_TABS:
        keys.press("Tab")
        tabs += 1
        at = page.evaluate("document.activeElement.name")
        if at in TYPED:
            keys.type(TYPED[at])
    assert at == "offer"
    keys.press("Enter")
    expect(book).to_be_focused(timeout=PATIENCE_MS)
    keys.press("Enter")
    page.wait_for_url(re.compile(r"/bookings/\d+/$"), timeout=PATIENCE_MS)
    desk.says("Kim Vale")


TYPED = {"phone": "555-0147", "model": "Saloon", "size_class": "D"}
