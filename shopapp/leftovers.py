"""What a killed process left behind goes when it is a day old."""

from __future__ import annotations

import os
import tempfile
from collections.abc import Iterator
from contextlib import suppress
from datetime import datetime, timedelta
from pathlib import Path

from django.conf import settings

from shopapp.models import StoredFile

OLD = timedelta(days=1)


def sweep(*, now: datetime) -> list[Path]:
    """Delete them; what went."""
    gone = []
    named = set(StoredFile.objects.values_list("sha256", flat=True))
    for path in (*_half_written(), *_unnamed(named)):
        with suppress(FileNotFoundError):
            if path.stat().st_mtime < (now - OLD).timestamp():
                path.unlink()
                gone.append(path)
    return gone


def _half_written() -> Iterator[Path]:
    data, own = Path(settings.SHOP_DATA), os.getuid()
    yield from Path(settings.MEDIA_ROOT).glob("*/.new-*")
    yield from data.glob(".new-*")
    yield from data.glob("before-upgrades/.*.part")
    # Uploads that Django spools, of a server that was killed.
    for path in Path(tempfile.gettempdir()).glob("tmp*.upload*"):
        with suppress(FileNotFoundError):
            if path.stat().st_uid == own:
                yield path


def _unnamed(named: set[str]) -> Iterator[Path]:
    """Files whose press was taken back, so that no row names them."""
    for path in Path(settings.MEDIA_ROOT).glob("*/*"):
        if path.name not in named and not path.name.startswith("."):
            yield path
