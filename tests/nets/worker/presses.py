"""Every button: pressed as `tests/presses.py` fills it in, sent empty, and by whom not.

Of a press is kept what it answers and which rows it changes.
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from django.core.files.base import File
from django.db import connection
from django.test import Client
from django.urls import reverse

from tests.addresses import ROUTES, Route, known_for
from tests.furnished import Furnished, rolled_back
from tests.nets.plain_html import without_chance
from tests.nets.worker.answers import told
from tests.presses import LOOKS, PRESSES, Press
from tests.read_page import ReadPage
from tests.rows import rows

SITE = "http://testserver"
KEY = "a-key-of-this-press"
ROLES = ("manager", "desk", "installer", "stranger", "nobody")


def keep_presses(shop: Furnished, folder: Path) -> None:
    """A file for each URL that takes a POST."""
    folder.mkdir()
    before = rows()
    for route in ROUTES:
        if "POST" not in route.methods:
            continue
        parts = []
        if make := {**PRESSES, **LOOKS}.get(route.name):
            with rolled_back():
                parts.append(_pressed(shop, route, make(shop), before))
        for role in ROLES:
            parts.append(_empty(shop, route, role))
        file = folder / f"{route.name.replace(':', '.')}.txt"
        file.write_text("\n".join(parts))


def _client(shop: Furnished, route: Route, person: Any) -> Client:
    client = Client(raise_request_exception=False)
    if person and not route.is_by_link:
        client.force_login(person)
    return client


def _pressed(shop: Furnished, route: Route, wanted: Press, before: Rows) -> str:
    client = _client(shop, route, shop.mara)
    args = wanted.args or dict.fromkeys(route.arguments, shop.bookings[0].pk)
    url = reverse(route.name, kwargs=args)
    data: dict[str, Any] = {}
    if wanted.page:
        page_url = SITE + wanted.page_url
        page = ReadPage(client.get(wanted.page_url).content.decode(), url=page_url)
        form = page.form(SITE + url)
        data |= form.data if form else {}
    data |= {**wanted.typed, "key": KEY}
    for value in data.values():
        if isinstance(value, File):
            value.seek(0)
    answer = client.post(url, data)
    # What its maker changed first stands among them.
    return f"== pressed {url}\n{told(answer)}\n== rows\n{_changed(before, rows())}"


def _empty(shop: Furnished, route: Route, role: str) -> str:
    person = shop.people.get(role)
    with rolled_back():
        client = _client(shop, route, person)
        url = route.address(known_for(route, shop))
        answer = client.post(url, {"key": KEY})
        # The manager's says what is asked; of the others, whether they may.
        text = told(answer) if role == "manager" else f"{answer.status_code}\n"
    return f"== empty, {role}: {url}\n{text}"


Rows = dict[str, set[tuple[Any, ...]]]


def _changed(before: Rows, after: Rows) -> str:
    lines = []
    for table in sorted(after):
        names = _names(table)
        gone, new = before[table] - after[table], after[table] - before[table]
        for sign, found in (("-", gone), ("+", new)):
            told = (dict(zip(names, row, strict=True)) for row in found)
            lines += sorted(f"{sign} {table} {_told(row)}" for row in told)
    return without_chance("".join(f"{line}\n" for line in lines))


def _told(row: dict[str, Any]) -> str:
    return json.dumps(row, default=str, sort_keys=True, ensure_ascii=False)


def _names(table: str) -> list[str]:
    with connection.cursor() as cursor:
        described = connection.introspection.get_table_description(cursor, table)
    return [column.name for column in described]
