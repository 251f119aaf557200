"""Pages of the furnished shop as each role gets them, asked for once a test run.

The base is the same for every test until the test writes, so a page that was read by
one test, in whatever process, is the page for the next one too.
"""

from __future__ import annotations

import hashlib
import os
import pickle
from dataclasses import dataclass
from http import HTTPStatus
from pathlib import Path
from typing import Any

from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from tests.furnished import Furnished
from tests.read_page import ReadPage

SITE = "http://testserver"
NOBODY = ""
_folder: list[Path] = []


@dataclass(frozen=True)
class Visit:
    """One GET: what came back, and how many statements it took."""

    url: str
    status_code: int
    headers: dict[str, str]
    text: str
    queries: int

    @property
    def page(self) -> ReadPage | None:
        """The page, if it is one of ours."""
        kind = self.headers.get("Content-Type", "")
        if self.status_code != HTTPStatus.OK or not kind.startswith("text/html"):
            return None
        return ReadPage(self.text, url=SITE + self.url)


def keep_in(folder: Path) -> None:
    """Where the processes of this run keep what they were answered."""
    folder.mkdir(exist_ok=True)
    _folder[:] = [folder]


def visit(shop: Furnished, role: str, url: str, **headers: str) -> Visit:
    """What this role gets at this address. Call it before the test writes."""
    asked = repr((role, url, sorted(headers.items())))
    kept = _folder[0] / hashlib.sha256(asked.encode()).hexdigest()
    if kept.exists():
        return pickle.loads(kept.read_bytes())
    found = _ask(shop, role, url, headers)
    new = kept.with_suffix(f".{os.getpid()}")
    new.write_bytes(pickle.dumps(found))
    new.replace(kept)
    return found


def _ask(shop: Furnished, role: str, url: str, headers: dict[str, Any]) -> Visit:
    client = Client()
    if role != NOBODY:
        client.force_login(shop.people[role])
    with CaptureQueriesContext(connection) as asked:
        answer = client.get(url, headers=headers)
    content = b"".join(answer) if answer.streaming else answer.content
    return Visit(
        url=url,
        status_code=answer.status_code,
        headers=dict(answer.items()),
        text=content.decode(errors="replace"),
        queries=len(asked),
    )
