"""A backup comes back into an empty place, on the store of this run."""

from __future__ import annotations

import hashlib
import json
import shutil
import sqlite3
from datetime import UTC, datetime
from pathlib import Path

import pytest
from django.conf import settings
from django.core.management import CommandError, call_command
from django.db import connection

from shopapp import certificates, media
from shopapp.backups import making, restoring, shelf, stores
from shopapp.backups.restoring import Target, restore
from shopapp.backups.stores import Unusable
from shopapp.management.commands import restore as command
from tests.makers import make_person

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.postgres]
PAPER = b"an issued paper"
PAPER_SHA256 = hashlib.sha256(PAPER).hexdigest()


@pytest.fixture
def data(tmp_path, monkeypatch):
    """The data folder of a shop with a key and a certificate."""
    folder = tmp_path / "data"
    folder.mkdir()
    monkeypatch.setattr(settings, "SHOP_DATA", folder)
    monkeypatch.setattr(settings, "MEDIA_ROOT", folder / "media")
    (folder / "secret_key").write_text("a key of forty signs or so, made by chance")
    certificates.server_certificate(["localhost"])
    return folder


@pytest.fixture
def backup(data, tmp_path) -> Path:
    """A backup of a shop with two people and a paper."""
    make_person("manager")
    media.keep_bytes(PAPER, "application/pdf")
    return making.make(tmp_path / "shelf").folder


@pytest.fixture
def empty(tmp_path):
    """An empty place on the store of this run."""
    there = tmp_path / "there"
    there.mkdir()
    if connection.vendor == "sqlite":
        yield Target(data=there, media=there / "media", store=f"{there}/shop.sqlite3")
    else:
        with stores.spare_base() as name:
            yield Target(data=there, media=there / "media", store=name)


def files_below(folder: Path) -> dict[str, bytes]:
    """Every file there, by its path."""
    return {
        str(path.relative_to(folder)): path.read_bytes()
        for path in folder.rglob("*")
        if path.is_file()
    }


def mode(path: Path) -> int:
    return path.stat().st_mode & 0o777


def test_rows_files_keys_and_certificate_come_back(backup, data, empty):
    back = restore(backup, to=empty)
    assert back.rows >= 3
    assert (back.files, back.damaged, back.waiting) == (1, (), 0)
    assert shelf.is_whole(empty.media, PAPER_SHA256)
    for name in shelf.OWN_KEYS:
        assert (empty.data / name).read_bytes() == (data / name).read_bytes()
        assert mode(empty.data / name) == 0o600
    assert not stores.is_empty(empty.store)


def test_keys_lie_apart_from_every_backup_and_only_their_owner_reads_them(backup):
    kept = backup.parent / "keys"
    assert {path.name for path in kept.rglob("*") if path.is_file()} == {
        Path(name).name for name in shelf.OWN_KEYS
    }
    assert {mode(path) for path in kept.rglob("*") if path.is_file()} == {0o600}
    assert {mode(path) for path in backup.iterdir()} <= {0o600, 0o644}
    assert mode(backup) == mode(kept) == 0o700
    assert not [name for name in files_below(backup) if "key" in name]


def test_a_second_backup_copies_only_what_is_missing_and_keeps_no_key_twice(backup):
    more = media.keep_bytes(b"a photo", "image/jpeg")
    second = making.make(backup.parent, now=datetime(2040, 1, 1, tzinfo=UTC))
    assert (second.files, second.copied) == (2, 1)
    assert len(list((backup.parent / "keys").iterdir())) == 1
    assert shelf.is_whole(backup.parent / "media", more.sha256)
    assert not list(second.folder.glob("**/media"))


def test_the_files_of_all_backups_are_plain_files_of_one_name_each(backup):
    kept = backup.parent / "media" / PAPER_SHA256[:2] / PAPER_SHA256
    assert kept.stat().st_nlink == 1
    assert not kept.is_symlink()


@pytest.mark.parametrize("what", ["store", "certificate"])
def test_a_place_that_is_in_use_is_refused_and_left_as_it_is(backup, empty, what):
    if what == "store":
        restore(backup, to=empty)
        said = "There is a shop in .* already"
    else:
        (empty.data / "tls").mkdir()
        (empty.data / "tls" / "shop-ca.crt").write_text("another shop's")
        said = "another shop's certificate"
    before = files_below(empty.data)
    with pytest.raises(Unusable, match=said):
        restore(backup, to=empty)
    assert files_below(empty.data) == before


def test_a_restore_that_was_cut_off_goes_on(backup, empty, monkeypatch):
    def cut_off(keys, folder):
        raise OSError(28, "No space left on device")

    with monkeypatch.context() as patch:
        patch.setattr(shelf, "write_keys", cut_off)
        with pytest.raises(Unusable, match="No space left on device"):
            restore(backup, to=empty)
    assert stores.is_empty(empty.store)
    assert restore(backup, to=empty).files == 1


def test_a_damaged_file_does_not_keep_the_shop_from_coming_back(backup, empty):
    kept = shelf.path_in(backup.parent / "media", PAPER_SHA256)
    kept.write_bytes(b"forged")
    back = restore(backup, to=empty)
    assert back.damaged == (PAPER_SHA256,)
    assert not shelf.path_in(empty.media, PAPER_SHA256).exists()
    with pytest.raises(Unusable, match="1 files are missing or damaged"):
        restoring.prove(backup)


def test_a_proof_leaves_nothing_behind_and_touches_nothing(backup, data):
    before = files_below(data)
    proven = restoring.prove(backup)
    assert (proven.files, len(proven.keys)) == (1, 5)
    assert files_below(data) == before


def test_a_backup_of_the_first_form_comes_back(backup, empty):
    shutil.move(backup.parent / "media", backup / "media")
    note = json.loads((backup / "backup.json").read_text())
    old = {"made_at": note["made_at"], "rows": note["rows"]}
    (backup / "backup.json").write_text(json.dumps(old))
    assert making.check(backup)["files"] == 1
    back = restore(backup, to=empty)
    assert (back.files, back.damaged, back.keys) == (1, (), ())


def test_a_backup_of_a_newer_version_is_refused_in_words(backup, empty):
    note = json.loads((backup / "backup.json").read_text())
    note["migrations"]["jobs"] = "0999_in_ten_years"
    (backup / "backup.json").write_text(json.dumps(note))
    with pytest.raises(Unusable, match="newer version .* bring it back with that"):
        restore(backup, to=empty)
    assert stores.is_empty(empty.store)


def test_rows_that_are_missing_are_no_shop(backup, empty):
    note = json.loads((backup / "backup.json").read_text())
    note["rows"]["shopapp_person"] += 1
    (backup / "backup.json").write_text(json.dumps(note))
    with pytest.raises(Unusable, match="Rows are missing in shopapp_person"):
        restore(backup, to=empty)
    if connection.vendor == "sqlite":
        assert stores.is_empty(empty.store)


def test_a_copy_of_sqlite_opens_where_nothing_can_be_written(backup):
    if connection.vendor != "sqlite":
        pytest.skip("a dump is one file")
    with sqlite3.connect(backup / "shop.sqlite3") as copy:
        assert copy.execute("PRAGMA journal_mode").fetchone() == ("delete",)
    before = sorted(path.name for path in backup.iterdir())
    making.check(backup)
    assert sorted(path.name for path in backup.iterdir()) == before


def test_a_backup_that_fails_says_why_and_leaves_nothing_half(
    backup, monkeypatch, capsys
):
    place = backup.parent

    def full(*args, **known):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(shelf, "bring_file", full)
    media.keep_bytes(b"a photo", "image/jpeg")
    before = files_below(place)
    with pytest.raises(CommandError, match="No backup was made in .*No space left"):
        call_command("backup", str(place))
    assert files_below(place) == before


def test_the_command_says_what_came_back_and_what_is_next(
    backup, empty, monkeypatch, capsys
):
    monkeypatch.delenv("SECRET_KEY", raising=False)
    monkeypatch.setattr(command.restoring, "own_place", lambda: empty)
    call_command("restore", str(backup.parent))
    said = capsys.readouterr().out
    assert f"{backup} of " in said
    assert "The secret key is back: who was signed in still is." in said
    assert "The certificate is back: tablets go on trusting it." in said
    with pytest.raises(CommandError, match="There is a shop in"):
        call_command("restore", str(backup))
    call_command("restore", str(backup), prove=True)
    assert f"Proven: {backup}" in capsys.readouterr().out
