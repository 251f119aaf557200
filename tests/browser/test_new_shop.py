"""From an empty base to a printed work order, counted by a listener in the browser."""

from __future__ import annotations

import shutil
import subprocess
import sys
from contextlib import ExitStack
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page

from tests.browser.conftest import PATIENCE_MS, _worker
from tests.conftest import environment, running_redis, serving, wait_until
from tests.stores import migrated_in, of_this_run

pytestmark = pytest.mark.browser
ROOT = Path(__file__).parents[2]
MOST_VIEWS, MOST_PRESSES, MOST_TYPED = 12, 12, 10
LISTENER = """
addEventListener("click", (event) => { if (event.isTrusted && event.detail)
  counted("press"); }, true);
addEventListener("change", (event) => { if (event.isTrusted
  && event.target.matches("input:not([type=radio]), textarea, select"))
  counted("typed " + event.target.name); }, true);
"""


@pytest.fixture
def empty_shop(tmp_path: Path, tmp_path_factory: pytest.TempPathFactory):
    """A server over a base with nothing but the program's own defaults."""
    with ExitStack() as stack:
        redis_url = stack.enter_context(running_redis())
        here = {"SHOP_DATA": str(tmp_path), "REDIS_URL": redis_url, "TZ": "US/Central"}
        shutil.copy(migrated_in(of_this_run(tmp_path_factory)), tmp_path)
        told = [sys.executable, "manage.py", "defaults"]
        subprocess.run(told, cwd=ROOT, env=environment(**here), check=True)
        stack.enter_context(_worker("papers", here))
        url, _server = stack.enter_context(serving(**here))
        yield url


def press(page: Page, name: str) -> None:
    """Press a button that leads on."""
    with page.expect_navigation():
        page.get_by_role("button", name=name).click()


def follow(page: Page, name: str) -> None:
    """Press a link of the page's own part."""
    with page.expect_navigation():
        page.locator("main").get_by_role("link", name=name).first.click()


def fill(page: Page, **typed: str) -> None:
    """Type into fields by their names."""
    for name, text in typed.items():
        page.locator(f"main [name={name}]").press_sequentially(text)


def test_a_new_shop_prints_its_first_order_with_few_fields(
    empty_shop: str, chromium: Browser
):
    page = chromium.new_page(viewport={"width": 1280, "height": 800})
    page.set_default_timeout(PATIENCE_MS)
    counts: dict[str, list[str]] = {"view": [], "press": [], "typed": []}
    page.expose_function("counted", lambda said: counts[said.split()[0]].append(said))
    page.add_init_script(LISTENER)
    page.on("framenavigated", lambda frame: counts["view"].append(frame.url))
    page.goto(empty_shop)
    fill(page, first_name="Rosa", username="rosa", password="film and water 26")
    press(page, "Begin")
    follow(page, "Name, address, telephone, mail")
    fill(page, name="Film by the river", address="1 Example Street")
    fill(page, phone="555-0142", email="shop@example.com")
    press(page, "Keep")
    follow(page, "Solutions that you use")
    press(page, "Keep")
    follow(page, "Prices")
    fill(page, full_front="$1,890")
    press(page, "Fill the list")
    press(page, "Take over all that is offered")
    assert page.get_by_text("Nothing is missing").is_visible()
    press(page, "Print a test order")
    paper = page.url

    def is_printed() -> bool:
        answer = page.request.get(paper)
        return answer.headers["content-type"] == "application/pdf"

    wait_until(is_printed, within_s=60)
    assert len(counts["view"]) <= MOST_VIEWS
    assert len(counts["press"]) <= MOST_PRESSES
    assert len(counts["typed"]) <= MOST_TYPED
    page.close()
