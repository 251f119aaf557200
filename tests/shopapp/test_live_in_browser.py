"""The floor in a real browser: it moves by itself, and survives a long cut."""

from __future__ import annotations

import time

import pytest
from django.db.models import F

from jobs.workorders.actions import pause_job, set_crew
from shopapp.frame import perform
from shopapp.models import Revision, SignIn
from tests.conftest import free_port, serving, wait_until
from tests.makers import (
    PASSWORD,
    make_bay,
    make_booking,
    make_tap,
    make_workorder,
)

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


@pytest.fixture
def page(chromium):
    context = chromium.new_context(viewport={"width": 1024, "height": 768})
    yield context.new_page()
    context.close()


def sign_in(page, url: str) -> None:
    page.goto(f"{url}/sign-in/?next=/floor/")
    page.get_by_label("Name").fill("mara")
    page.get_by_label("Password").fill(PASSWORD)
    page.locator("main button").click()
    page.wait_for_url(f"{url}/floor/")


def change(name: str) -> None:
    """What an action would do: something moves, then the revision."""
    make_bay(name)
    Revision.objects.update(number=F("number") + 1)


def test_the_floor_shows_a_change_without_being_touched(page, manager):
    with serving() as (url, _server):
        sign_in(page, url)
        page.wait_for_function("document.querySelector('#floor').isConnected")
        change("Bay of glass")
        page.get_by_text("Bay of glass").wait_for(timeout=5000)


def test_a_floor_that_was_cut_off_past_its_ticket_comes_back(page, manager):
    port = free_port()
    with serving(port=port, LIVE_TICKET_S="4") as (url, _server):
        sign_in(page, url)
        time.sleep(5)
    change("Bay of glass")
    with serving(port=port, LIVE_TICKET_S="4"):
        page.get_by_text("Bay of glass").wait_for(timeout=30_000)


def test_a_floor_of_somebody_signed_out_goes_to_the_sign_in_page(page, manager):
    with serving() as (url, _server):
        sign_in(page, url)
        response = page.request.get(f"{url}/live/ticket/floor/")
        assert response.ok
        SignIn.objects.update(ended_at="2031-01-01T00:00:00Z")
        page.context.clear_cookies()
        Revision.objects.update(number=F("number") + 1)
        page.wait_for_url("**/sign-in/**", timeout=30_000)


def test_the_sign_in_page_breaks_none_of_its_own_rules(page, manager):
    complaints: list[str] = []
    page.on("console", lambda message: complaints.append(message.text))
    page.on("pageerror", lambda error: complaints.append(str(error)))
    with serving() as (url, _server):
        sign_in(page, url)
        page.wait_for_load_state()
    assert complaints == []


def test_my_work_follows_the_shop_and_leaves_alone_what_did_not_change(page, manager):
    order = make_workorder(manager, booking=make_booking(manager))
    mine = {"workorder_pk": order.pk, "people": [manager]}
    perform(make_tap(manager), set_crew, **mine)
    with serving() as (url, _server):
        sign_in(page, url)
        answers = []
        page.goto(f"{url}/work/")
        page.on("response", lambda got: answers.append((got.url, got.status)))
        page.evaluate("document.querySelector('#my-work a').focus()")
        Revision.objects.update(number=F("number") + 1)
        wait_until(
            lambda: page.wait_for_timeout(50) or (f"{url}/work/", 304) in answers
        )
        assert page.evaluate("document.activeElement.closest('#my-work') !== null")
        facts = {"workorder_pk": order.pk, "because": "the tar remover"}
        perform(make_tap(manager), pause_job, **facts)
        page.get_by_text("waits for: the tar remover").wait_for(timeout=5000)
