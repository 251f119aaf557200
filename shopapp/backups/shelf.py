"""Where backups lie: a folder each, one store of files and the keys beside them.

FOLDER/shop-20261201-020000/   the store, backup.json, files.txt
FOLDER/media/ab/ab12...        the files of all backups, each once, by their hash
FOLDER/keys/20261201-020000/   secret key and certificate, apart from the rest
"""

from __future__ import annotations

import fcntl
import hashlib
import json
import os
import re
import shutil
import tempfile
from collections.abc import Iterable, Iterator
from contextlib import contextmanager, suppress
from dataclasses import asdict, dataclass
from datetime import datetime
from pathlib import Path

from django.conf import settings

from shopapp.backups.stores import Unusable

NOTE, FILES, MEDIA, KEYS, PART = "backup.json", "files.txt", "media", "keys", ".part"
NAMED = re.compile(r"shop-(\d{8}-\d{6})")
STAMP = "%Y%m%d-%H%M%S"
LEAST_BYTES = 1024 * 1024
OWN_KEYS = (
    "secret_key",
    *(f"tls/{name}" for name in ("shop-ca.crt", "shop-ca.key")),
    *(f"tls/{name}" for name in ("server.crt", "server.key")),
)
"""What sign-ins and the tablets' trust hang on, below the data folder."""


@dataclass(frozen=True, kw_only=True)
class Note:
    """What a backup says of itself.

    form        1 has its files in a folder of its own, and names no keys
    migrations  the newest of each app, as the store had them
    keys        the folder of its keys; empty: none were there
    """

    form: int = 2
    made_at: str
    rows: dict[str, int]
    migrations: dict[str, str]
    keys: str = ""

    def write(self, folder: Path) -> None:
        """Keep it in the backup."""
        (folder / NOTE).write_text(json.dumps(asdict(self), indent=1))


def note_of(folder: Path) -> Note:
    """What a backup says of itself; raises `Unusable` where it says nothing."""
    try:
        told = json.loads((folder / NOTE).read_text())
        known = {name: told[name] for name in asdict(_EMPTY) if name in told}
        form = int(told.get("form", 1))
        return Note(**{"migrations": {}, **known, "form": form})
    except (OSError, ValueError, KeyError, TypeError, AttributeError):
        raise Unusable(f"{folder} is not a whole backup: no {NOTE}.") from None


_EMPTY = Note(made_at="", rows={}, migrations={})


def own_shelf() -> Path:
    """Where the nightly backups lie: BACKUP_DIR, else in the data folder."""
    return Path(settings.BACKUP_DIR or Path(settings.SHOP_DATA) / "backups")


def is_full(folder: Path) -> bool:
    """Whether its disk has no room left; a store then speaks of an I/O error."""
    there = next(each for each in (folder, *folder.parents) if each.exists())
    return shutil.disk_usage(there).free < LEAST_BYTES


def newest_of(folder: Path) -> Path:
    """The backup itself, or the newest one in a folder of backups."""
    folder = folder.resolve()
    if not (folder / NOTE).exists() and (found := backups_in(folder)):
        return found[-1]
    return folder


def backups_in(shelf: Path) -> list[Path]:
    """Whole backups, the oldest first."""
    found = shelf.glob("shop-*") if shelf.is_dir() else ()
    return sorted(each for each in found if made_at(each) and (each / NOTE).exists())


def made_at(folder: Path) -> datetime | None:
    """When a backup was made, by its name."""
    named = NAMED.fullmatch(folder.name)
    try:
        return datetime.strptime(f"{named[1]}+0000", f"{STAMP}%z") if named else None
    except ValueError:
        return None


@contextmanager
def held(shelf: Path) -> Iterator[None]:
    """Only one program makes or drops backups here; leftovers of a dead one go."""
    shelf.mkdir(mode=0o700, parents=True, exist_ok=True)
    with (shelf / ".lock").open("a") as lock:
        try:
            fcntl.flock(lock, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except OSError:
            raise Unusable(f"Another backup is being made in {shelf}.") from None
        for left in [*shelf.glob(f"*{PART}"), *(shelf / KEYS).glob(f"*{PART}")]:
            shutil.rmtree(left)
        for left in (shelf / MEDIA).glob("*/.new-*"):
            left.unlink()
        yield


def media_of(folder: Path) -> Path:
    """Where a backup's files lie: beside it, or within one of the first form."""
    return (folder if note_of(folder).form == 1 else folder.parent) / MEDIA


def keys_of(folder: Path) -> Path | None:
    """Where a backup's keys lie; None where it has none."""
    stamp = note_of(folder).keys
    return folder.parent / KEYS / stamp if stamp else None


def path_in(media: Path, sha256: str) -> Path:
    """Where a file lies in a store of files."""
    return media / sha256[:2] / sha256


def is_whole(media: Path, sha256: str) -> bool:
    """Whether the file is there, with the bytes it is named for."""
    try:
        with path_in(media, sha256).open("rb") as kept:
            return hashlib.file_digest(kept, "sha256").hexdigest() == sha256
    except OSError:
        return False


def bring_file(sha256: str, *, come_from: Path, to: Path) -> bool:
    """Copy a file where it is missing; False where what is there is not the file."""
    source, target = path_in(come_from, sha256), path_in(to, sha256)
    if not is_whole(come_from, sha256):
        return False
    target.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    handle, name = tempfile.mkstemp(dir=target.parent, prefix=".new-")
    try:
        with os.fdopen(handle, "wb") as out, source.open("rb") as kept:
            shutil.copyfileobj(kept, out, 1024 * 1024)
            out.flush()
            os.fsync(out.fileno())
        Path(name).replace(target)
    except BaseException:
        Path(name).unlink(missing_ok=True)
        raise
    return True


def read_keys(folder: Path) -> dict[str, bytes]:
    """The keys that lie in a data folder, or in a folder of keys."""
    found = {}
    for name in OWN_KEYS:
        with suppress(FileNotFoundError):
            found[name] = (folder / name).read_bytes()
    return {name: data for name, data in found.items() if data.strip()}


def keep_keys(shelf: Path, stamp: str) -> str:
    """Keep the shop's keys where they changed; the name of the folder that has them."""
    own = read_keys(Path(settings.SHOP_DATA))
    if not own:
        return ""
    known = sorted((shelf / KEYS).glob("[0-9]*[0-9]"))
    if known and read_keys(known[-1]) == own:
        return known[-1].name
    (shelf / KEYS).mkdir(mode=0o700, exist_ok=True)
    unfinished = shelf / KEYS / f"{stamp}{PART}"
    write_keys(own, unfinished)
    return unfinished.rename(shelf / KEYS / stamp).name


def write_keys(keys: dict[str, bytes], folder: Path) -> None:
    """Write keys so that nobody else on the machine ever reads them."""
    for name, data in keys.items():
        path = folder / name
        path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        path.unlink(missing_ok=True)
        handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
        with os.fdopen(handle, "wb") as out:
            out.write(data)


def drop(shelf: Path, gone: Iterable[Path]) -> None:
    """Delete backups, then the files and keys that no other one names."""
    with held(shelf):
        for folder in gone:
            # Without its note it is no backup any more, wherever this is cut off.
            (folder / NOTE).unlink()
            shutil.rmtree(folder)
        left = backups_in(shelf)
        shared = [each for each in left if note_of(each).form > 1]
        named = {sha for each in shared for sha in hashes_of(each)}
        for path in (shelf / MEDIA).glob("*/*"):
            if path.name not in named:
                path.unlink()
        for path in (shelf / KEYS).glob("[0-9]*"):
            if path.name not in {note_of(each).keys for each in left}:
                shutil.rmtree(path)


def forget_damaged(folder: Path) -> None:
    """Delete the files of a backup that are not what they are named for."""
    media = media_of(folder)
    for each in hashes_of(folder):
        if not is_whole(media, each):
            path_in(media, each).unlink(missing_ok=True)


def hashes_of(folder: Path) -> list[str]:
    """The files that a backup names; one of the first form has them within."""
    if note_of(folder).form == 1:
        return [path.name for path in (folder / MEDIA).glob("*/*")]
    try:
        return (folder / FILES).read_text().split()
    except OSError:
        raise Unusable(f"{folder} is not a whole backup: no {FILES}.") from None
