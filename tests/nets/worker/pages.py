"""Every page of each role, and the pages it leads to.

Begins with an address of each URL and of each order, booking, vessel and so on, and
follows links and what htmx asks for, a bounded number of times for each URL name and
set of query names.
"""

from __future__ import annotations

import hashlib
import re
from collections import Counter, deque
from collections.abc import Iterator
from http import HTTPStatus
from pathlib import Path
from typing import Any
from urllib.parse import parse_qsl, urlsplit

from django.apps import apps
from django.test import Client
from django.urls import Resolver404, resolve

from tests.addresses import ROUTES, Route, known_for
from tests.furnished import Furnished, rolled_back
from tests.nets.worker.answers import told
from tests.read_page import ReadPage

SITE = "http://testserver"
HTMX = {"HX-Request": "true"}
NOBODY = "nobody"
PAGES = {route.name: route for route in ROUTES if "GET" in route.methods}
MOST = {"manager": 12, "desk": 4, "installer": 4}
"""Of one URL name and set of query names; somebody without a role is led nowhere."""
OF_MODELS = {
    "workorders/<int:pk>/": "jobs.WorkOrder",
    "handovers/<int:pk>/": "jobs.WorkOrder",
    "bookings/<int:pk>/": "jobs.Booking",
    "film/<int:pk>/": "jobs.Film",
    "film/rolls/<int:pk>/": "jobs.Roll",
    "settings/checklists/<int:pk>/": "jobs.Checklist",
    "mixing/batches/<int:pk>/": "mixing.Batch",
    "mixing/recipes/<int:pk>/": "mixing.Recipe",
    "mixing/chemicals/<int:pk>/": "mixing.Chemical",
}
"""Each row of these is looked at by the manager, an order of each stage by others."""


class Looking:
    """One role going through the shop."""

    def __init__(self, shop: Furnished, role: str, folder: Path) -> None:
        self.shop = shop
        self.role = role
        self.folder = folder / role
        self.folder.mkdir(parents=True)
        self.client = Client(raise_request_exception=False)
        if role != NOBODY:
            self.client.force_login(shop.people[role])
        self.known: set[str] = set()
        self.waiting: deque[str] = deque()
        self.led: Counter[tuple[str, ...]] = Counter()

    def go(self) -> None:
        """Look at all there is."""
        for url in self.begin():
            self.note(url)
        while self.waiting:
            self.look(self.waiting.popleft())

    def begin(self) -> Iterator[str]:
        """What is looked at in any case."""
        for route in PAGES.values():
            yield route.address(known_for(route, self.shop))
        if self.role == NOBODY:
            yield from self._by_link()
        for route in PAGES.values() if self.role in MOST else ():
            yield from self._each_row(route)

    def _by_link(self) -> Iterator[str]:
        for route in PAGES.values():
            if route.arguments == ["token"] and route.is_by_link:
                for link in self.shop.links.values():
                    yield route.address({"token": link.token})

    def _each_row(self, route: Route) -> Iterator[str]:
        for prefix, label in OF_MODELS.items():
            if route.arguments == ["pk"] and route.path.startswith(prefix):
                for pk in self._rows(label):
                    yield route.address({"pk": pk})

    def _rows(self, label: str) -> list[int]:
        rows = apps.get_model(label)._default_manager.order_by("pk")
        if self.role == "manager":
            return list(rows.values_list("pk", flat=True))
        if label != "jobs.WorkOrder":
            return []
        return list(dict(rows.order_by("-pk").values_list("stage", "pk")).values())

    def note(self, url: str) -> None:
        """Look at it later, unless it was looked at."""
        if url not in self.known:
            self.known.add(url)
            self.waiting.append(url)

    def look(self, url: str) -> None:
        """Keep the page, its fragment, and where it leads."""
        answer = self._kept(url, "", {})
        if answer.status_code != HTTPStatus.OK:
            return
        if "HX-Request" in answer.get("Vary", ""):
            self._kept(url, ".htmx", HTMX)
        kind = answer.get("Content-Type", "")
        if kind.startswith("text/html") and self.role in MOST:
            page = ReadPage(answer.content.decode(), url=SITE + url)
            for link in [*page.hrefs, *page.asks]:
                self._lead(link)

    def _kept(self, url: str, ending: str, headers: dict[str, str]) -> Any:
        with rolled_back():
            answer = self.client.get(url, headers=headers)
            text = told(answer)
        if answer.status_code >= HTTPStatus.INTERNAL_SERVER_ERROR:
            print(f"{self.role} {url}: {answer.status_code}")
        file = self.folder / f"{file_name(url)}{ending}.html"
        file.write_text(f"{url}\n{text}")
        return answer

    def _lead(self, link: str) -> None:
        if not link.startswith(f"{SITE}/"):
            return
        parts = urlsplit(link.removeprefix(SITE))
        url = parts.path + (f"?{parts.query}" if parts.query else "")
        try:
            name = resolve(parts.path).view_name
        except Resolver404:
            return
        if url in self.known or name not in PAGES:
            return
        names = sorted({name for name, _ in parse_qsl(parts.query, True)})
        self.led[(name, *names)] += 1
        if self.led[(name, *names)] <= MOST[self.role]:
            self.note(url)


def file_name(url: str) -> str:
    """The URL's name, its arguments and its query, as a file may be called."""
    parts = urlsplit(url)
    found = resolve(parts.path)
    told = [found.view_name, *map(str, found.kwargs.values())]
    if parts.query:
        told.append(f"+{parts.query}")
    name = re.sub(r"[^\w.+=&~-]", "_", ".".join(told).replace(":", "."))
    if len(name) > 150:
        name = name[:120] + hashlib.sha256(name.encode()).hexdigest()[:12]
    return name


def keep_pages(shop: Furnished, roles: list[str], folder: Path) -> None:
    """The pages of these roles."""
    for role in roles:
        Looking(shop, role, folder).go()
