"""Which store is copied before an upgrade, and with what."""

from __future__ import annotations

import shutil

import pytest
from django.conf import settings
from django.db import connection

from shopapp import upgrades
from tests.furnished import over


def test_a_new_base_is_not_copied(tmp_path, monkeypatch, django_db_blocker):
    if connection.vendor != "sqlite":
        pytest.skip("the base is a file here")
    monkeypatch.setattr(settings, "SHOP_DATA", tmp_path)
    monkeypatch.setattr(upgrades, "call_command", lambda *args, **known: None)
    told: list[str] = []
    with django_db_blocker.unblock(), over(tmp_path / "new.sqlite3"):
        upgrades.upgrade(tell=told.append)
    assert told == []
    assert list(tmp_path.glob("*/*.sqlite3")) == []


@pytest.mark.postgres
@pytest.mark.only_postgres
@pytest.mark.django_db(transaction=True)
def test_a_postgresql_is_dumped_or_it_is_said_why_not(tmp_path, monkeypatch):
    monkeypatch.setattr(settings, "SHOP_DATA", tmp_path)
    told: list[str] = []
    if shutil.which("pg_dump"):
        made = upgrades.copy_before("jobs-0002", tell=told.append)
        assert made is not None
        assert made.read_bytes().startswith(b"PGDMP")
    monkeypatch.setenv("PATH", str(tmp_path))
    assert upgrades.copy_before("jobs-0002", tell=told.append) is None
    assert told == [
        "pg_dump is not installed (postgresql-client). So no copy was made before this "
        "version changes the store."
    ]
    assert upgrades.way_back(None).startswith("There is no copy from before.")
