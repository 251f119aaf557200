"""The secret key: made once in the data folder, whole or not at all (no Django)."""

from __future__ import annotations

import os
import secrets
import sys
import tempfile
from contextlib import suppress
from pathlib import Path


def read_key(folder: Path) -> str:
    """The key in a data folder; an empty one, left by a crash, is made anew.

    Raises `OSError` where the folder cannot be read or written.
    """
    kept = folder / "secret_key"
    if not (known := _read(kept)):
        if known is not None:
            sys.stderr.write(
                f"{kept} was empty. A new one was made: everybody signs in again.\n"
            )
        _make(kept, is_first=known is None)
    return kept.read_text().strip()


def _read(path: Path) -> str | None:
    try:
        return path.read_text().strip()
    except FileNotFoundError:
        return None


def _make(kept: Path, *, is_first: bool) -> None:
    handle, name = tempfile.mkstemp(dir=kept.parent, prefix=".new-")
    new = Path(name)
    try:
        with os.fdopen(handle, "w") as out:
            out.write(secrets.token_urlsafe(48))
            out.flush()
            os.fsync(out.fileno())
        if not is_first:
            new.replace(kept)
            return
        # Two processes that start together agree on the first one's key.
        with suppress(FileExistsError):
            kept.hardlink_to(new)
    finally:
        new.unlink(missing_ok=True)
