"""A time is read whole where the browser writes AM and PM."""

from __future__ import annotations

import pytest

from tests.browser.conftest import PC, SignIn

pytestmark = [pytest.mark.browser, pytest.mark.redis]

WHOLE_PX = 260
"""What "12/01/2026, 09:00 PM" with its icon takes in Chromium at our size of print."""


def test_the_fields_of_arrival_and_promise_are_wide_enough(sign_in: SignIn):
    desk = sign_in("ben", size=PC, locale="en-US")
    desk.go("/bookings/new/")
    fields = desk.page.locator("input[type='datetime-local']")
    widths = [fields.nth(at).bounding_box()["width"] for at in range(fields.count())]
    assert len(widths) >= 2
    assert min(widths) >= WHOLE_PX
