"""A press that got no answer, or the wrong one, is told where the person looks."""

from __future__ import annotations

import pytest
from playwright.sync_api import Locator, expect

from jobs.models import WorkOrder
from tests.browser.conftest import TABLET, Hands, OpenShop, SignIn, rows_of
from tests.makers import PASSWORD

pytestmark = [pytest.mark.browser, pytest.mark.redis]

AT_ONCE_MS = 6000
CAR = "TLP 3415"
"""A car of the demo shop in prep."""


@pytest.fixture
def checks(open_shop: OpenShop, sign_in: SignIn, django_db_blocker) -> Hands:
    """The list of a car in prep, open on a tablet."""
    with rows_of(open_shop, django_db_blocker):
        car = WorkOrder.objects.get(vehicle__plate=CAR, stage="prep")
    installer = sign_in("chidi", size=TABLET)
    installer.go(f"/workorders/{car.pk}/checks/")
    return installer


def ticks(hands: Hands) -> Locator:
    return hands.page.locator("main form[hx-post*='/checks/'] button:visible")


def in_view(hands: Hands, what: Locator) -> bool:
    box, height = what.bounding_box(), hands.page.viewport_size["height"]
    return bool(box) and box["y"] >= 0 and box["y"] + box["height"] <= height


def test_without_a_net_a_bar_says_so_and_sends_again_once_it_is_back(checks: Hands):
    page = checks.page
    last = ticks(checks).last
    last.scroll_into_view_if_needed()
    open_before = ticks(checks).count()
    page.context.set_offline(True)
    last.click()
    said = page.get_by_text("Not sent").locator("visible=true").first
    expect(said).to_be_visible(timeout=AT_ONCE_MS)
    assert in_view(checks, said), "it is said out of sight"
    page.locator(".tabs").get_by_role("link", name="Mixing").click(no_wait_after=True)
    page.wait_for_timeout(300)
    assert "/checks/" in page.url, "a tab led to the browser's error page"
    page.context.set_offline(False)
    again = page.get_by_role("button", name="Send again")
    with page.expect_response(lambda answer: answer.request.method == "POST") as sent:
        again.click()
    assert sent.value.status == 303
    expect(page.get_by_text("Not sent").first).to_be_hidden(timeout=AT_ONCE_MS)
    expect(again).to_be_hidden()
    checks.settle()
    checks.page.reload()
    assert ticks(checks).count() <= open_before
    checks.complaints.clear()


@pytest.mark.parametrize("status", [500, 403, 404, 503])
def test_an_answer_that_is_no_page_is_said_beside_the_button(checks: Hands, status):
    page = checks.page
    page.route(
        "**/checks/**",
        lambda route: (
            route.fulfill(status=status, body="<p>no page of ours</p>")
            if route.request.method == "POST"
            else route.continue_()
        ),
    )
    last = ticks(checks).last
    last.scroll_into_view_if_needed()
    last.click()
    said = page.locator("main [role=alert]:visible")
    expect(said.first).to_be_visible(timeout=AT_ONCE_MS)
    assert in_view(checks, said.first)
    checks.complaints.clear()


def test_signed_out_in_the_middle_of_a_press_it_goes_through_after_signing_in(
    checks: Hands,
):
    page = checks.page
    button = ticks(checks).first
    action = button.locator("xpath=ancestor::form").get_attribute("action")
    page.context.clear_cookies(name="sessionid")
    button.click()
    page.wait_for_url("**/sign-in/**", timeout=AT_ONCE_MS)
    expect(page.get_by_text("Nothing was kept yet")).to_be_visible()
    assert page.locator(".shop-name").count() == 1, "a page inside a page"
    assert page.locator(".person-name").count() == 0, "the old name is still there"
    page.locator("main [name=username]").fill("chidi")
    page.locator("main [name=password]").fill(PASSWORD)
    page.get_by_role("main").get_by_role("button", name="Sign in").click()
    page.wait_for_url("**/checks/**", timeout=AT_ONCE_MS * 3)
    checks.settle()
    assert page.locator(f"main form[action='{action}'] button:visible").count() <= 1
    expect(page.locator(".person-name")).to_contain_text("Chidi")
    checks.complaints.clear()
