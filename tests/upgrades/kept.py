"""A kept base of an earlier release, opened on the store of this test run."""

from __future__ import annotations

import io
import json
import lzma
import os
import tarfile
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

import psycopg
import pytest
from django.conf import settings
from django.core.management import call_command
from django.db import connection
from django.utils import timezone
from psycopg.conninfo import make_conninfo

from tests.furnished import over
from tests.upgrades.facts import Told, told

HERE = Path(__file__).parent
RELEASES = sorted(path.stem for path in (HERE / "kept").glob("*.json"))


@dataclass(frozen=True, kw_only=True)
class Upgraded:
    """A base that was migrated: its facts before, and now.

    pages  names of the URLs that led somewhere in its own release
    """

    before: dict[str, Told]
    after: dict[str, Told]
    pages: list[str]


@contextmanager
def upgraded(release: str, folder: Path) -> Iterator[Upgraded]:
    """The base of a release, migrated as `serve` does it, at the time it was made."""
    note: dict[str, Any] = json.loads((HERE / "kept" / f"{release}.json").read_text())
    made_at = datetime.fromisoformat(note["made_at"])
    with pytest.MonkeyPatch.context() as patch, opened(release, folder):
        patch.setattr(timezone, "now", lambda: made_at + timedelta(minutes=5))
        patch.setattr(settings, "MEDIA_ROOT", folder / "media")
        patch.setattr(settings, "BACKGROUND_BELL", "tests.makers.no_bell")
        call_command("migrate", verbosity=0, stdout=io.StringIO())
        after = told()
        call_command("defaults", stdout=io.StringIO())
        yield Upgraded(before=note["facts"], after=after, pages=note["pages"])


def opened(release: str, folder: Path) -> Any:
    """The base of a release as it is, its files beside it."""
    with tarfile.open(HERE / "kept" / f"{release}.tar.xz") as pack:
        pack.extractall(folder, filter="data")
    if connection.vendor == "sqlite":
        return over(folder / "shop.sqlite3")
    return _on_postgres((HERE / "kept" / f"{release}.sql.xz").read_bytes())


@contextmanager
def _on_postgres(packed: bytes) -> Iterator[None]:
    """A base of its own on the server of this run, filled from the dump."""
    # Each process of a test run has one of its own.
    known, name = connection.settings_dict["NAME"], f"kept_base_{os.getpid()}"
    with _server(known) as server:
        server.execute(f'DROP DATABASE IF EXISTS "{name}" WITH (FORCE)'.encode())
        server.execute(f'CREATE DATABASE "{name}"'.encode())
    with _server(name) as server:
        server.execute(lzma.decompress(packed))
    point_to(name)
    try:
        yield
    finally:
        point_to(known)


def _server(name: str) -> psycopg.Connection[Any]:
    own = connection.settings_dict
    asked = {part: own[part.upper()] for part in ("host", "port", "user", "password")}
    told_ = {part: str(value) for part, value in asked.items() if value}
    return psycopg.connect(make_conninfo(dbname=name, **told_), autocommit=True)


def point_to(name: str) -> None:
    connection.close()
    connection.close_pool()  # type: ignore[attr-defined]
    connection.settings_dict["NAME"] = name
