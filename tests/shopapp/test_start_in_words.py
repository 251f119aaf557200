"""What the disk or the store answers at start, at a backup, at a look: a sentence."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from datetime import UTC, datetime
from pathlib import Path

import pytest
from django.conf import settings
from django.core.exceptions import ImproperlyConfigured
from django.core.management import CommandError, call_command
from django.db import DatabaseError, connection
from django.utils import timezone

from shopapp import leftovers, machine, media
from shopapp import settings as shop_settings
from shopapp.backups import making, shelf
from shopapp.management.commands.serve import set_aside
from shopapp.own_key import read_key
from tests.conftest import needs, wait_until
from tests.furnished import over
from tests.makers import make_person

ROOT = Path(__file__).parents[2]


@pytest.fixture
def data(tmp_path, monkeypatch):
    monkeypatch.setattr(settings, "SHOP_DATA", tmp_path)
    return tmp_path


# -- the key ---------------------------------------------------------------------------


def test_a_key_is_made_once_and_only_its_owner_reads_it(tmp_path):
    first = read_key(tmp_path)
    assert len(first) >= 48
    assert read_key(tmp_path) == first
    assert (tmp_path / "secret_key").stat().st_mode & 0o777 == 0o600
    assert [path.name for path in tmp_path.iterdir()] == ["secret_key"]


@pytest.mark.parametrize("left", ["", "\n"])
def test_an_empty_key_is_made_anew_and_said(tmp_path, capsys, left):
    (tmp_path / "secret_key").write_text(left)
    made = read_key(tmp_path)
    assert len(made) >= 48
    assert "was empty. A new one was made" in capsys.readouterr().err
    assert read_key(tmp_path) == made


def test_a_key_that_cannot_be_made_is_said(tmp_path, monkeypatch):
    (tmp_path / "in_the_way").write_text("a file")
    monkeypatch.delenv("SECRET_KEY", raising=False)
    with pytest.raises(ImproperlyConfigured, match="data folder .* cannot be used"):
        shop_settings.read_secret(tmp_path / "in_the_way" / "data")


def test_the_command_line_says_it_without_a_traceback(tmp_path):
    (tmp_path / "in_the_way").write_text("a file")
    gone = {"SECRET_KEY", "DATABASE_URL"}
    own = {name: text for name, text in os.environ.items() if name not in gone}
    done = subprocess.run(
        [sys.executable, "manage.py", "backup"],
        cwd=ROOT,
        env={**own, "SHOP_DATA": str(tmp_path / "in_the_way" / "data")},
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 1
    assert done.stderr.startswith("The data folder ")
    assert "Traceback" not in done.stderr


# -- disk and store --------------------------------------------------------------------


@pytest.mark.parametrize(
    ("wrong", "said"),
    [
        (OSError(28, "No space left on device"), "is full. Make room there"),
        (OSError(30, "Read-only file system"), "Read-only file system"),
        (DatabaseError("attempt to write a readonly database"), "cannot be written"),
        (DatabaseError("database or disk is full"), "is full. Make room"),
        (DatabaseError("database disk image is malformed"), "manage.py restore"),
        (DatabaseError("file is not a database"), "is damaged"),
        (DatabaseError("connection refused"), "cannot be opened"),
    ],
)
def test_what_went_wrong_is_a_sentence(data, wrong, said):
    with pytest.raises(machine.NotReady, match=said), machine.in_words():
        raise wrong


@pytest.fixture
def store(data, django_db_setup, django_db_blocker):
    """The file of a shop, closed."""
    if connection.vendor != "sqlite":
        pytest.skip("the store is a file here")
    with django_db_blocker.unblock(), over(data / "shop.sqlite3"):
        call_command("migrate", verbosity=0)
        with connection.cursor() as cursor:
            cursor.execute("PRAGMA wal_checkpoint(TRUNCATE)")
        connection.close()
        yield data / "shop.sqlite3"


def zeroed(store: Path) -> None:
    """Pages in the middle are lost, as by a bad block."""
    connection.close()
    size = store.stat().st_size
    with store.open("r+b") as file:
        file.seek(size // 2 // 4096 * 4096)
        file.write(bytes(40 * 4096))


def test_a_store_with_zeroed_pages_is_said_and_no_backup_is_made_of_it(store, data):
    machine.check_store()
    zeroed(store)
    with (
        pytest.raises(machine.NotReady, match="is damaged") as said,
        machine.in_words(),
    ):
        machine.check_store()
    assert f"manage.py restore {data / 'backups'}" in str(said.value)
    with pytest.raises(CommandError, match="damaged|malformed"):
        call_command("backup", str(data / "backups"))
    assert shelf.backups_in(data / "backups") == []
    assert not list((data / "backups").glob("*.part"))


# -- redis -----------------------------------------------------------------------------


def test_a_redis_that_cannot_read_what_it_kept_begins_anew(tmp_path):
    program, folder = needs("redis-server"), tmp_path / "redis"
    (folder / "appendonlydir").mkdir(parents=True)
    manifest = folder / "appendonlydir" / "appendonly.aof.manifest"
    manifest.write_bytes(b"garbage of a bad block")
    command = [program, "--port", "0", "--unixsocket", str(tmp_path / "s")]
    command += ["--dir", str(folder), "--appendonly", "yes", "--save", ""]
    broken = subprocess.run(
        command, capture_output=True, text=True, check=False, timeout=20
    )
    assert broken.returncode > 0
    told = set_aside(folder)
    assert "set aside in" in told
    assert "ring again by themselves" in told
    aside = next(tmp_path.glob("redis-damaged-*"))
    assert (aside / "appendonlydir" / manifest.name).exists()
    again = subprocess.Popen(command, stdout=subprocess.DEVNULL)
    try:
        wait_until((tmp_path / "s").exists)
        assert again.poll() is None
    finally:
        again.terminate()
        again.wait(10)
    assert set_aside(tmp_path / "none") == ""


# -- leftovers -------------------------------------------------------------------------


@pytest.mark.django_db
def test_what_a_killed_process_left_goes_when_it_is_a_day_old(data, monkeypatch):
    monkeypatch.setattr(settings, "MEDIA_ROOT", data / "media")
    monkeypatch.setattr("tempfile.tempdir", str(data))
    make_person("manager")
    kept = media.keep_bytes(b"a paper", "application/pdf")
    unnamed = media.keep_bytes(b"a press taken back", "image/jpeg")
    unnamed.delete()
    fresh = media.keep_bytes(b"just now", "image/jpeg")
    fresh.delete()
    half = data / "media" / kept.sha256[:2] / ".new-abc"
    upload = data / "tmpabc.upload.jpg"
    paths = [shelf.path_in(data / "media", each.sha256) for each in (kept, unnamed)]
    for path in (half, upload):
        path.write_bytes(b"half")
    for path in (*paths, half, upload):
        os.utime(path, (1, 1))
    gone = leftovers.sweep(now=timezone.now())
    assert set(gone) == {paths[1], half, upload}
    assert paths[0].exists()
    assert shelf.path_in(data / "media", fresh.sha256).exists()


@pytest.mark.django_db
def test_a_file_that_is_about_to_be_named_again_is_not_swept(data, monkeypatch):
    monkeypatch.setattr(settings, "MEDIA_ROOT", data / "media")
    once = media.keep_bytes(b"a photo", "image/jpeg")
    path = shelf.path_in(data / "media", once.sha256)
    once.delete()
    os.utime(path, (1, 1))
    media.keep_bytes(b"a photo", "image/jpeg").delete()
    assert leftovers.sweep(now=timezone.now()) == []
    assert path.exists()


@pytest.mark.django_db(transaction=True)
def test_a_shelf_clears_what_a_killed_backup_left(data, monkeypatch):
    monkeypatch.setattr(settings, "MEDIA_ROOT", data / "media")
    left = data / "backups" / "shop-20200101-020000.part"
    left.mkdir(parents=True)
    (left / "shop.sqlite3").write_bytes(b"half")
    made = making.make(data / "backups", now=datetime(2026, 3, 2, 8, tzinfo=UTC))
    assert not left.exists()
    assert made.folder.exists()
    shutil.rmtree(made.folder)
