"""The furnished shop as fixtures."""

from __future__ import annotations

import os
from collections.abc import Iterator
from pathlib import Path

import pytest
from django.conf import settings
from django.db import connection

from shopapp import background
from tests import furnished, visits
from tests.stores import migrated_in, of_this_run


@pytest.fixture(scope="session")
def furnished_base(tmp_path_factory: pytest.TempPathFactory, django_db_blocker) -> Path:
    """The file of the furnished shop, made once for all processes of a test run."""
    if connection.vendor != "sqlite":
        pytest.skip("the furnished shop lies in an SQLite file")
    dev = os.environ.get("FURNISHED_DEV")
    folder = Path(dev) if dev else of_this_run(tmp_path_factory)
    known = settings.MEDIA_ROOT, settings.BACKGROUND_BELL
    settings.BACKGROUND_BELL = "tests.makers.no_bell"
    with django_db_blocker.unblock():
        begun = migrated_in(of_this_run(tmp_path_factory))
        base = furnished.made_once(folder / "furnished-shop", begun=begun)
    settings.MEDIA_ROOT, settings.BACKGROUND_BELL = known
    # With FURNISHED_DEV the base outlives the code; what its pages say does not.
    visits.keep_in(of_this_run(tmp_path_factory) / "visits")
    return base


@pytest.fixture(scope="session")
def _furnished_copy(furnished_base: Path, tmp_path_factory) -> Path:
    return furnished.own_copy(furnished_base, tmp_path_factory.mktemp("shop"))


@pytest.fixture
def shop(
    furnished_base: Path,
    _furnished_copy: Path,
    django_db_blocker,
    monkeypatch: pytest.MonkeyPatch,
) -> Iterator[furnished.Furnished]:
    """The furnished shop; what a test does to it is rolled back."""
    monkeypatch.setattr(settings, "MEDIA_ROOT", furnished_base.parent / "media")
    # A heartbeat from another thread would wait for the test's own transaction.
    monkeypatch.setattr(background, "_beat", lambda pk, stop: stop.wait())
    with (
        django_db_blocker.unblock(),
        furnished.over(_furnished_copy),
        furnished.rolled_back(),
    ):
        yield furnished.Furnished()
