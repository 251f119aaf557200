"""A backup every night: made once, old ones dropped, proven each week, and said."""

from __future__ import annotations

import hashlib
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from django.conf import settings
from django.core.management import call_command
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from shopapp import media, tasks
from shopapp.backups import making, shelf
from shopapp.backups.nightly import back_up, drop_old
from shopapp.backups.queries import backup_state, is_proof_due
from shopapp.models import BackgroundTask, Backup, BackupRule, Shop
from tests.makers import make_person

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.postgres]
NIGHT = datetime(2026, 3, 2, 8, 5, tzinfo=UTC)
"""Five past two in Chicago (UTC-6)."""


@pytest.fixture(autouse=True)
def data(tmp_path, monkeypatch):
    """A shop of its own, whose backups lie in its data folder."""
    monkeypatch.setattr(settings, "SHOP_DATA", tmp_path)
    monkeypatch.setattr(settings, "MEDIA_ROOT", tmp_path / "media")
    monkeypatch.setattr(settings, "BACKUP_DIR", "")
    Shop.objects.filter(pk=1).update(time_zone="America/Chicago")
    make_person("manager")
    return tmp_path


@pytest.fixture
def at(monkeypatch):
    """Set the clock of this process."""

    def set_to(moment: datetime) -> None:
        monkeypatch.setattr(timezone, "now", lambda: moment)

    return set_to


def asked() -> list[BackgroundTask]:
    return list(BackgroundTask.objects.filter(kind="solvers.back_up").order_by("pk"))


def test_the_clock_asks_once_a_night_from_the_hour_on(at):
    at(NIGHT)
    tasks.backup_clock()
    tasks.backup_clock()
    assert [task.due for task in asked()] == [NIGHT.replace(minute=0)]
    tasks.make_backup(asked()[0].pk)
    at(NIGHT + timedelta(hours=12))
    tasks.backup_clock()
    assert len(asked()) == 1
    at(NIGHT + timedelta(days=1))
    tasks.backup_clock()
    assert len(asked()) == 2


def test_a_shop_that_was_off_at_night_is_backed_up_when_it_opens(at):
    at(NIGHT + timedelta(hours=6))
    tasks.backup_clock()
    assert len(asked()) == 1


def test_the_hour_is_the_shops(at):
    BackupRule.objects.create(pk=1, at="22:30")
    at(NIGHT)
    tasks.backup_clock()
    assert asked()[0].due == datetime(2026, 3, 2, 4, 30, tzinfo=UTC)


def test_the_first_one_is_proven_and_the_next_within_a_week_is_not(at):
    at(NIGHT)
    first = back_up(now=NIGHT, is_proof=False)
    assert (first.failed, first.proof_failed) == ("", "")
    assert first.proved_at is not None
    second = back_up(now=NIGHT + timedelta(days=1), is_proof=False)
    assert second.proved_at is None
    assert not is_proof_due(now=NIGHT + timedelta(days=6))
    assert is_proof_due(now=NIGHT + timedelta(days=8))


def test_one_that_failed_says_why_and_is_asked_for_again_after_an_hour(
    at, data, monkeypatch
):
    (data / "backups").write_text("in the way")
    at(NIGHT)
    tasks.backup_clock()
    tasks.make_backup(asked()[0].pk)
    state = backup_state(now=NIGHT)
    assert "No backup was made in" in state.failed
    assert not state.is_well
    at(NIGHT + timedelta(minutes=30))
    tasks.backup_clock()
    assert len(asked()) == 1
    (data / "backups").unlink()
    at(NIGHT + timedelta(minutes=70))
    tasks.backup_clock()
    tasks.make_backup(asked()[1].pk)
    assert backup_state(now=NIGHT + timedelta(hours=2)).is_well


def test_old_ones_go_with_the_files_that_nobody_else_names(data):
    BackupRule.objects.create(pk=1, keep_days=2, keep_weeks=0, keep_months=0)
    place = data / "backups"
    only_then = media.keep_bytes(b"a photo of then", "image/jpeg")
    stays = media.keep_bytes(b"a paper that stays", "application/pdf")
    first = making.make(place, now=NIGHT).folder
    only_then.delete()
    for day in (1, 2):
        making.make(place, now=NIGHT + timedelta(days=day))
    drop_old(place, now=NIGHT)
    assert not first.exists()
    assert [each.name[5:13] for each in shelf.backups_in(place)] == [
        "20260303",
        "20260304",
    ]
    assert shelf.is_whole(place / "media", stays.sha256)
    assert not shelf.path_in(place / "media", only_then.sha256).exists()
    for each in shelf.backups_in(place):
        making.check(each)


def test_the_newest_that_was_proven_stays_whatever_the_rule(data):
    BackupRule.objects.create(pk=1, keep_days=1, keep_weeks=0, keep_months=0)
    proven = back_up(now=NIGHT, is_proof=True)
    for day in (1, 2):
        back_up(now=NIGHT + timedelta(days=day), is_proof=False)
    left = [str(each) for each in shelf.backups_in(data / "backups")]
    assert len(left) == 2
    assert proven.folder in left
    assert Backup.objects.exclude(removed_at=None).count() == 1


def test_a_copy_that_is_damaged_on_the_shelf_is_found_and_made_anew(data):
    kept = media.keep_bytes(b"a paper", "application/pdf")
    back_up(now=NIGHT, is_proof=False)
    copy = shelf.path_in(data / "backups" / "media", kept.sha256)
    copy.write_bytes(b"turned")
    later = NIGHT + timedelta(days=1)
    found = back_up(now=later, is_proof=True)
    assert "1 files are missing or damaged" in found.proof_failed
    assert not backup_state(now=later).is_well
    healed = back_up(now=later + timedelta(days=1), is_proof=False)
    assert healed.copied == 1
    assert healed.proof_failed == ""
    assert healed.proved_at is not None
    assert hashlib.sha256(copy.read_bytes()).hexdigest() == kept.sha256


def test_a_file_that_the_shop_itself_lost_is_said_and_the_rest_is_backed_up(data):
    kept = media.keep_bytes(b"a paper", "application/pdf")
    media.keep_bytes(b"a photo", "image/jpeg")
    shelf.path_in(data / "media", kept.sha256).write_bytes(b"turned")
    row = back_up(now=NIGHT, is_proof=False)
    assert (row.failed, row.copied) == ("", 1)
    assert "1 papers or photos of the shop are missing or damaged" in row.trouble


def test_a_proof_by_command_is_noted_and_the_pages_say_so(data, capsys):
    call_command("backup")
    call_command("restore", str(data / "backups"), prove=True)
    row = Backup.objects.get()
    assert row.proved_at is not None
    assert Path(row.folder).parent == data / "backups"
    client = Client()
    client.force_login(make_person("manager", username="alva"))
    for name in ("shopapp:backups", "shopapp:settings", "jobs:floor"):
        page = client.get(reverse(name)).content.decode()
        assert "Last backup: " in page, name
        assert "Last proven to come back: " in page, name


def test_who_is_no_manager_sees_nothing_of_backups():
    client = Client()
    client.force_login(make_person("desk", username="dora"))
    assert "backup" not in client.get(reverse("jobs:floor")).content.decode().lower()
    assert client.get(reverse("shopapp:backups")).status_code == 403


def test_an_old_backup_and_an_old_proof_are_said():
    then = NIGHT - timedelta(days=40)
    common = {"folder": "/x/shop-20260121-020000", "proved_at": then}
    Backup.objects.create(made_at=then, **common)
    state = backup_state(now=NIGHT)
    assert state.is_late
    assert state.is_unproven
