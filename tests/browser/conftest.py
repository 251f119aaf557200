"""A furnished shop that is really open: web server, Redis, both workers, Chromium."""

from __future__ import annotations

import os
import shutil
import sqlite3
import subprocess
import sys
import tempfile
from collections.abc import Callable, Iterator
from contextlib import ExitStack, closing
from dataclasses import dataclass, field
from http import HTTPStatus
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

import pytest
from playwright.sync_api import Browser, BrowserContext, Locator, Page, Response, expect

from tests import furnished
from tests.conftest import environment, running_redis, serving
from tests.makers import PASSWORD
from tests.shop_fixtures import furnished_base  # noqa: F401

SWAPPING = ".htmx-request, .htmx-swapping, .htmx-settling"
SAYS_WHERE = """addEventListener("securitypolicyviolation", (event) => console.error(
  "refused: " + event.violatedDirective + " at "
  + (event.composedPath()[0].outerHTML || "the document").slice(0, 300)));"""
PATIENCE_MS = 60_000
"""A slow machine with cold caches is no fault of the shop."""
PC, TABLET, PHONE = (1280, 800), (800, 1280), (390, 844)


@dataclass
class Hands:
    """A person at a device: what is tapped and typed there is counted."""

    name: str
    url: str
    page: Page
    touches: int = 0
    digits: int = 0
    words: int = 0
    scripts: bool = True
    answered: str = ""
    complaints: list[str] = field(default_factory=list)
    shots: int = 0

    def go(self, path: str) -> None:
        """Open a page by its address (not counted: the test knows its way)."""
        self.page.goto(self.url + path)

    def tap(self, what: Locator) -> None:
        """One touch."""
        self.touches += 1
        what.first.click()

    @property
    def path(self) -> str:
        """Where the browser is."""
        return urlsplit(self.page.url).path

    def press(self, label: str) -> None:
        """Touch a button by its words; wait for what the form leads to."""
        self.send(self.page.locator("main").get_by_role("button", name=label).first)

    def send(self, button: Locator) -> None:
        """Touch a button that sends a form."""
        with self.page.expect_response(_is_the_answer) as answered:
            self.tap(button)
        self.answered = urlsplit(answered.value.url).path
        if answered.value.status != HTTPStatus.OK:
            self.settle()
            raise AssertionError(self.page.inner_text("main")[:2000])
        self.settle()

    def follow(self, label: str) -> None:
        """Touch a link by its words."""
        self.step(self.page.locator("main").get_by_role("link", name=label).first)

    def open(self, label: str) -> None:
        """Touch the line under which more lies, where that is shut."""
        line = self.page.locator("main summary", has_text=label).first
        if line.locator("..").get_attribute("open") is None:
            self.tap(line)

    def tab(self, label: str) -> None:
        """Touch a tab of the order."""
        self.step(self.page.locator(".tabs").get_by_role("link", name=label))

    def step(self, what: Locator) -> None:
        """Touch what only reads: a link, a button of a GET form."""
        with self.page.expect_response(lambda answer: answer.status == HTTPStatus.OK):
            self.tap(what)
        self.settle()

    def settle(self) -> None:
        """The page has come, and no part of it is still being swapped."""
        self.page.wait_for_load_state("load")
        if self.scripts:
            expect(self.page.locator(SWAPPING)).to_have_count(0, timeout=PATIENCE_MS)

    def has(self, name: str) -> bool:
        """Whether the page has such a field to fill."""
        box = self.page.locator(f"main [name='{name}']").first
        return box.count() > 0 and box.is_visible()

    def put(self, name: str, text: str) -> None:
        """Touch a field and type."""
        self.touches += 1
        if text.replace(".", "").isdigit():
            self.digits += len(text)
        else:
            self.words += 1
        self.page.locator(f"main [name='{name}']").first.fill(text)

    def choose(self, name: str, label: str) -> None:
        """Choose from a list."""
        self.touches += 2
        self.page.locator(f"main select[name='{name}']").first.select_option(
            label=label
        )

    def says(self, text: str) -> None:
        """The page says so."""
        found = self.page.get_by_text(text).first
        found.wait_for(state="visible", timeout=PATIENCE_MS)

    def shot(self, name: str) -> None:
        """A picture for people, where SHOP_SHOTS names a folder."""
        if path := self._kept_at(f"{name}.png"):
            # Hiding the caret would leave style attributes, which the policy refuses.
            self.page.screenshot(path=path, full_page=True, caret="initial")

    def keep(self, name: str, body: bytes) -> None:
        """A paper for people, in the same folder."""
        if path := self._kept_at(f"{name}.pdf"):
            path.write_bytes(body)

    def _kept_at(self, name: str) -> Path | None:
        folder = os.environ.get("SHOP_SHOTS")
        if not folder:
            return None
        self.shots += 1
        Path(folder).mkdir(parents=True, exist_ok=True)
        width = (self.page.viewport_size or {"width": 0})["width"]
        return Path(folder) / f"{self.name}-{width}-{self.shots:02}-{name}"


def _is_the_answer(answer: Response) -> bool:
    """What a sent form led to: the page after the redirect, or a refusal."""
    asked = answer.request
    is_post = asked.method == "POST" and answer.status != HTTPStatus.SEE_OTHER
    return is_post or asked.redirected_from is not None


SignIn = Callable[..., Hands]


@dataclass(frozen=True)
class OpenShop:
    """Where it answers, and where its rows lie."""

    url: str
    folder: Path


@pytest.fixture(scope="session")
def open_shop(furnished_base: Path) -> Iterator[OpenShop]:
    """A copy of the furnished shop with everything running, nothing eager.

    It has a Redis of its own: the other tests' workers would take its tasks and find
    no such row in their base.
    """
    folder = Path(tempfile.mkdtemp(prefix="shop-open-"))
    shutil.copy(furnished_base, folder / "shop.sqlite3")
    shutil.copytree(furnished_base.parent / "media", folder / "media")
    with closing(sqlite3.connect(folder / "shop.sqlite3")) as base, base:
        # Cars come today, whatever day of the week that is.
        base.execute("UPDATE shopapp_openday SET is_open = 1")
    with ExitStack() as stack:
        stack.callback(shutil.rmtree, folder, ignore_errors=True)
        redis_url = stack.enter_context(running_redis())
        here = {"SHOP_DATA": str(folder), "REDIS_URL": redis_url}
        for queue in ("papers", "solvers"):
            stack.enter_context(_worker(queue, here))
        url, _server = stack.enter_context(serving(**here))
        yield OpenShop(url, folder)


class _worker:  # noqa: N801 - used as a function
    def __init__(self, queue: str, here: dict[str, str]) -> None:
        celery = [sys.executable, "-m", "celery", "-q", "-A", "shopapp", "worker"]
        self.process = subprocess.Popen(
            [*celery, "-Q", queue, "-n", f"{queue}@walk", "-c", "1", "-l", "WARNING"]
            + ["--without-mingle", "--without-gossip"],
            env=environment(**here),
        )

    def __enter__(self) -> None: ...

    def __exit__(self, *_: Any) -> None:
        self.process.terminate()
        self.process.wait(20)


@pytest.fixture
def sign_in(open_shop: OpenShop, chromium: Browser) -> Iterator[SignIn]:
    """Sign somebody in at a device of their own, a browser context each."""
    contexts: list[BrowserContext] = []
    hands: list[Hands] = []

    def signed_in(username: str, *, size: tuple[int, int] = PC, **more: Any) -> Hands:
        width, height = size
        context = chromium.new_context(
            viewport={"width": width, "height": height},
            has_touch=size is not PC,
            **more,
        )
        context.set_default_timeout(PATIENCE_MS)
        context.add_init_script(SAYS_WHERE)
        contexts.append(context)
        one = Hands(username or "customer", open_shop.url, context.new_page())
        one.scripts = more.get("java_script_enabled", True)
        one.page.on("pageerror", lambda error: one.complaints.append(str(error)))
        one.page.on("console", lambda said: _hear(one, said))
        hands.append(one)
        if username:
            one.go("/sign-in/")
            one.page.get_by_label("Name").fill(username)
            one.page.get_by_label("Password").fill(PASSWORD)
            one.page.locator("main button").click()
            one.page.wait_for_url(lambda url: "/sign-in/" not in url)
        return one

    yield signed_in
    for context in contexts:
        context.close()
    for one in hands:
        assert not one.complaints, f"{one.name}: " + "\n".join(one.complaints)


def _hear(one: Hands, said: Any) -> None:
    # A refusal (422) is an answer; Chromium writes it down as an error all the same.
    if said.type in {"error", "warning"} and "status of 422" not in said.text:
        one.complaints.append(f"{said.text} {said.location}")


def rows_of(shop: OpenShop, django_db_blocker: Any) -> ExitStack:
    """Look into the rows of the open shop."""
    stack = ExitStack()
    stack.enter_context(django_db_blocker.unblock())
    stack.enter_context(furnished.over(shop.folder / "shop.sqlite3"))
    return stack
