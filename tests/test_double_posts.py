"""Every button of the shop pressed twice: one effect, the same answer.

The buttons are found from the URLconf, so that a new one must join `PRESSES`.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Any

import pytest
from django.core.files.base import File
from django.test import Client
from django.urls import reverse

from tests.addresses import ROUTES, Route
from tests.furnished import Furnished
from tests.presses import LOOKS, NOT_PRESSES, PRESSES, Press
from tests.read_page import ReadPage
from tests.rows import rows
from tests.shop_fixtures import _furnished_copy, furnished_base, shop  # noqa: F401

POSTS = [route for route in ROUTES if "POST" in route.methods]
ACTIONS = [route for route in POSTS if route.name in PRESSES]
KEY = "a-key-of-this-press"
REUSED = "This form was sent before with other content, or by someone else."


def client_of(route: Route, person: Any) -> Client:
    """A browser of this person; a customer's has no login."""
    client = Client()
    if not route.is_by_link:
        client.force_login(person)
    return client


def filled_in(client: Client, wanted: Press, url: str, **typed: Any) -> dict[str, Any]:
    """What the browser sends: the form of the page, with what was typed in it."""
    data: dict[str, Any] = {}
    if wanted.page:
        answer = client.get(wanted.page_url)
        assert answer.status_code == 200, wanted.page_url
        page = ReadPage(
            answer.content.decode(), url=f"http://testserver{wanted.page_url}"
        )
        form = page.form(f"http://testserver{url}")
        assert form, f"{wanted.page_url} has no button for {url}"
        assert form.is_open, f"{wanted.page_url}: the button for {url} is grey"
        data |= form.data
    data |= {**wanted.typed, **typed, "key": KEY}
    return data


def send(client: Client, url: str, data: dict[str, Any]) -> Any:
    """Send it; a file is read from its beginning each time."""
    for value in data.values():
        if isinstance(value, File):
            value.seek(0)
    return client.post(url, data)


def said(answer: Any) -> str:
    """The answer without what differs from page to page."""
    text = answer.content.decode() if answer.content else ""
    text = re.sub(r'name="(csrfmiddlewaretoken|key)" value="[^"]*"', "", text)
    text = re.sub(r'content="\d+"', "", text)
    return f"{answer.status_code} {answer.get('Location', '')} {text}"


def test_every_button_has_something_to_send():
    known = {*PRESSES, *LOOKS, *NOT_PRESSES}
    assert {route.name for route in POSTS} == known


@dataclass
class Ready:
    """A button filled in by Mara, with Nora and the desk beside her."""

    wanted: Press
    url: str
    client: Client
    another: Client
    desk: Client
    data: dict[str, Any]


@pytest.fixture
def ready(route: Route, shop: Furnished) -> Ready:
    """The page is open and filled in, nothing is pressed yet."""
    wanted = PRESSES[route.name](shop)
    url = reverse(route.name, kwargs=wanted.args)
    client, another = client_of(route, shop.mara), client_of(route, shop.nora)
    desk = Client()
    desk.force_login(shop.people["desk"])
    data = filled_in(client, wanted, url)
    return Ready(wanted, url, client, another, desk, data)


@pytest.mark.parametrize("route", ACTIONS, ids=lambda route: route.name)
def test_pressed_twice_it_has_one_effect_and_its_key_is_good_for_nothing_else(
    route: Route, ready: Ready, shop: Furnished
):
    before = rows()
    keyless = send(ready.client, ready.url, {**ready.data, "key": ""})
    refused(keyless, "This page was out of date.")
    assert rows() == before
    first = send(ready.client, ready.url, ready.data)
    assert first.status_code in {200, 303}, said(first)[-3000:]
    once = rows()
    assert once != before, "the press had no effect"
    second = send(ready.client, ready.url, ready.data)
    assert said(second) == said(first)
    if not route.is_by_link:
        refused(send(ready.another, ready.url, ready.data), REUSED)
    if ready.wanted.other is not None:
        changed = {**ready.data, **ready.wanted.other}
        refused(send(ready.client, ready.url, changed), REUSED)
    else:
        # Nothing else can be sent to it: so another button, with its key.
        pause = reverse("jobs:workorder_pause", args=[shop.install.pk])
        data = {"usual": "parts", "key": KEY}
        refused(send(ready.desk, pause, data), REUSED)
    after = rows()
    changed_again = [table for table in once if once[table] != after[table]]
    assert not changed_again, "pressed again, it changed these"


def refused(answer: Any, sentence: str) -> None:
    """A 422 that says so."""
    assert answer.status_code == 422
    assert sentence in answer.content.decode()


@pytest.mark.parametrize(
    "route",
    [route for route in POSTS if route.name in LOOKS],
    ids=lambda route: route.path,
)
def test_a_look_keeps_nothing(route: Route, shop: Furnished):
    wanted = LOOKS[route.name](shop)
    args = wanted.args or dict.fromkeys(route.arguments, shop.bookings[0].pk)
    url = route.address(args)
    client = client_of(route, shop.mara)
    data = filled_in(client, wanted, url)
    before = rows()
    answer = send(client, url, data)
    assert answer.status_code in {200, 303}
    assert rows() == before
