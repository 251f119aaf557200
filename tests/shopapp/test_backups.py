"""Backups: made while the shop is open, and believed only when they open."""

from __future__ import annotations

import hashlib
import json
import sqlite3

import pytest
from django.core.management import CommandError, call_command
from django.db import connection

from shopapp import media
from shopapp.backups import making
from shopapp.backups.stores import Unusable
from tests.makers import make_person

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.postgres]
PAPER = b"an issued paper"
PAPER_SHA256 = hashlib.sha256(PAPER).hexdigest()


@pytest.fixture
def backup(tmp_path):
    make_person("manager")
    media.keep_bytes(PAPER, "application/pdf")
    return making.make(tmp_path / "shelf").folder


def test_a_backup_holds_the_rows_and_the_files(backup):
    held = making.check(backup)
    assert held["files"] == 1
    assert held["rows"] >= 3
    assert json.loads((backup / "backup.json").read_text())["rows"]["shopapp_shop"] == 1


def test_the_two_commands_say_what_they_found(tmp_path, capsys):
    call_command("backup", str(tmp_path))
    made = capsys.readouterr().out.splitlines()[0].split()[-1]
    call_command("restore_check", made)
    assert "Whole:" in capsys.readouterr().out


def test_a_missing_file_is_found(backup):
    kept = next(backup.parent.glob(f"media/*/{PAPER_SHA256}"))
    kept.unlink()
    with pytest.raises(Unusable, match="1 files are missing or damaged"):
        making.check(backup)


def test_a_file_that_was_changed_is_found(backup):
    kept = next(backup.parent.glob(f"media/*/{PAPER_SHA256}"))
    kept.write_bytes(b"forged")
    with pytest.raises(Unusable, match="missing or damaged"):
        making.check(backup)


def test_a_store_that_was_cut_short_is_found(backup):
    store = next(path for path in backup.iterdir() if path.stem == "shop")
    store.write_bytes(store.read_bytes()[: store.stat().st_size // 3])
    with pytest.raises(Unusable, match="damaged|failed"):
        making.check(backup)


def test_rows_that_went_missing_are_found(backup):
    if connection.vendor != "sqlite":
        note = json.loads((backup / "backup.json").read_text())
        note["rows"]["shopapp_person"] += 1
        (backup / "backup.json").write_text(json.dumps(note))
    else:
        with sqlite3.connect(backup / "shop.sqlite3") as store:
            store.execute("DELETE FROM shopapp_person")
    with pytest.raises(Unusable, match="Rows are missing in shopapp_person"):
        making.check(backup)


def test_a_folder_that_is_no_backup_is_refused_in_words(tmp_path):
    with pytest.raises(CommandError, match="not a whole backup"):
        call_command("restore_check", str(tmp_path))
