"""A shop without a bay: nothing was looked at, so nothing is OK."""

from __future__ import annotations

import pytest

from tests.makers import make_bay

pytestmark = pytest.mark.django_db
SAID = "All lines below together"


def total(client):
    page = client.get("/safety/").content.decode()
    return page, page.split(SAID)[0].rsplit("<p", 1)[1]


def test_without_a_bay_the_safety_page_does_not_say_ok(client, manager):
    client.force_login(manager)
    page, state = total(client)
    assert "Every bay was measured" not in page
    assert "There is no bay yet." in page
    assert "NOT ASSESSED" in state


def test_with_a_measured_bay_it_does_not_say_that_there_is_none(client, manager):
    make_bay()
    client.force_login(manager)
    page, _ = total(client)
    assert "There is no bay yet." not in page
