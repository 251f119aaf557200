"""`serve` copies a base that a new version changes, and says where the copy lies."""

from __future__ import annotations

import contextlib
import io
import shutil
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest
from django.conf import settings
from django.core.management import CommandError, call_command
from django.db import connection

from shopapp import machine
from shopapp.management.commands import serve
from shopapp.models import Person, Shop
from tests.furnished import over
from tests.stores import migrated_in, of_this_run


class ClosedAtOnce:
    """In the place of the supervisor: the shop opens and closes."""

    def __init__(self, **known):
        pass

    def run(self):
        pass


@pytest.fixture(scope="module")
def old_base(tmp_path_factory, django_db_setup, django_db_blocker):
    """A shop that lacks the last migration of its version."""
    if connection.vendor != "sqlite":
        pytest.skip("the base is a file here")
    base = tmp_path_factory.mktemp("old") / "shop.sqlite3"
    shutil.copy(migrated_in(of_this_run(tmp_path_factory)), base)
    with django_db_blocker.unblock(), over(base):
        Shop.objects.update_or_create(pk=1, defaults={"name": "Old Film Shop"})
        Person.objects.create(username="mara", is_manager=True)
        call_command("migrate", "sessions", "zero", verbosity=0)
        with connection.cursor() as cursor:
            cursor.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    return base


@pytest.fixture
def data(old_base, tmp_path, monkeypatch, django_db_blocker):
    """The data folder of that shop."""
    shutil.copy(old_base, tmp_path / "shop.sqlite3")
    monkeypatch.setattr(settings, "SHOP_DATA", tmp_path)
    monkeypatch.setattr(settings, "STATIC_ROOT", tmp_path / "static")
    monkeypatch.setattr(serve, "Supervisor", ClosedAtOnce)
    monkeypatch.setattr(serve, "children", lambda **known: [])
    monkeypatch.setattr(serve, "environment", lambda **known: {})
    monkeypatch.setattr(machine, "check", lambda: None)
    monkeypatch.setattr(machine, "check_port", lambda host, port: None)
    held = contextlib.nullcontext
    monkeypatch.setattr(machine, "lock_data_folder", lambda: held())
    with django_db_blocker.unblock(), over(tmp_path / "shop.sqlite3"):
        yield tmp_path


def served() -> str:
    """What `manage.py serve` prints while the shop opens and closes."""
    out = io.StringIO()
    call_command("serve", empty=True, stdout=out)
    return out.getvalue()


def copies(data: Path) -> list[Path]:
    """Bases that lie below the data folder beside the one that is open."""
    found = data.glob("*/*.sqlite3")
    return sorted(path for path in found if not path.name.startswith("."))


def asked(base: Path, sql: str):
    """The answer of another base."""
    with closing(sqlite3.connect(base)) as store:
        return store.execute(sql).fetchall()


def test_the_base_is_copied_before_it_is_migrated(data: Path):
    told = served()
    found = copies(data)
    assert len(found) == 1
    assert asked(found[0], "SELECT name FROM shopapp_shop") == [("Old Film Shop",)]
    tables = "SELECT count(*) FROM sqlite_master WHERE name = 'django_session'"
    assert asked(found[0], tables) == [(0,)]
    assert asked(data / "shop.sqlite3", tables) == [(1,)]
    assert f"A copy from before: {found[0]}" in told
    assert "sessions-0001" in found[0].name


def test_nothing_is_copied_where_nothing_waits(data: Path):
    served()
    before = copies(data)
    assert "A copy from before" not in served()
    assert copies(data) == before


def test_a_failed_upgrade_says_where_the_copy_lies(data: Path, monkeypatch):
    real = call_command

    def broken(name, *args, **known):
        if name == "migrate":
            raise RuntimeError("no such column: left_mm")
        return real(name, *args, **known)

    module = "shopapp.upgrades.call_command"
    monkeypatch.setattr(module, broken)
    with pytest.raises(CommandError) as refused:
        served()
    said = str(refused.value)
    assert "no such column: left_mm" in said
    assert str(copies(data)[0]) in said
    assert f"put that file in the place of {data / 'shop.sqlite3'}" in said


def test_a_base_that_cannot_be_copied_is_not_changed(data: Path):
    (data / "before-upgrades").write_text("in the way")
    with pytest.raises(CommandError, match="Nothing was changed"):
        served()
    tables = "SELECT count(*) FROM sqlite_master WHERE name = 'django_session'"
    assert asked(data / "shop.sqlite3", tables) == [(0,)]


def test_the_newest_five_copies_are_kept(data: Path):
    folder = data / "before-upgrades"
    folder.mkdir()
    for year in range(2020, 2028):
        (folder / f"{year}0101-080000-jobs-0002.sqlite3").write_text("old")
    served()
    names = [path.name[:4] for path in copies(data)]
    assert len(names) == 5
    assert "2020" not in names
