"""What the machine must have before the shop can open, and its own addresses."""

from __future__ import annotations

import ctypes
import errno
import fcntl
import os
import shutil
import socket
import zoneinfo
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import IO

from django.conf import settings
from django.db import DatabaseError, connection

from shopapp.backups.shelf import is_full, own_shelf

SEARCHED = os.pathsep.join(["/usr/bin", "/usr/sbin", "/usr/local/bin", "/opt/bin"])
PANGO = {
    "libgobject-2.0.so.0": "libpango-1.0-0",
    "libpango-1.0.so.0": "libpango-1.0-0",
    "libpangoft2-1.0.so.0": "libpangoft2-1.0-0",
    "libfontconfig.so.1": "libpangoft2-1.0-0",
    "libharfbuzz.so.0": "libpangoft2-1.0-0",
    "libharfbuzz-subset.so.0": "libharfbuzz-subset0",
}
"""Library that papers need, and the Debian package that brings it."""
FONT, REDIS = "fonts-dejavu-core", "redis-server"
INSTALL = "sudo apt-get update -q && sudo apt-get install -yq --no-install-recommends"
# sun_path holds 108 bytes with its closing zero (unix(7)).
LONGEST_SOCKET = 107
FULL = {errno.ENOSPC, errno.EDQUOT}


class NotReady(Exception):  # noqa: N818 - a sentence for whoever starts the shop
    """The shop cannot open on this machine; the text says what to do."""


def check() -> None:
    """Raise `NotReady` with the line that brings what is missing."""
    packages = list(dict.fromkeys(missing_packages()))
    if packages:
        raise NotReady(
            "This machine does not have all that the shop needs. This line brings it:\n"
            f"  {INSTALL} {' '.join(packages)}"
        )
    if has_own_redis() and len(str(redis_socket())) > LONGEST_SOCKET:
        raise NotReady(
            f"The path of the data folder is too long: {settings.SHOP_DATA}\n"
            "Set SHOP_DATA to a folder with a shorter path."
        )


@contextmanager
def in_words() -> Iterator[None]:
    """What the disk or the store answers, as a sentence: raises `NotReady`."""
    try:
        yield
    except OSError as error:
        raise NotReady(_disk_said(error)) from error
    except DatabaseError as error:
        raise NotReady(_store_said(str(error).strip())) from error


def check_store() -> None:
    """Raise `NotReady` where a page of an SQLite store is damaged."""
    if connection.vendor != "sqlite":
        return
    with connection.cursor() as cursor:
        cursor.execute("PRAGMA quick_check(1)")
        verdict = cursor.fetchone()[0]
    if verdict != "ok":
        raise NotReady(_store_said(f"malformed: {verdict}"))


def _disk_said(error: OSError) -> str:
    folder, why = settings.SHOP_DATA, error.strerror or error
    if error.errno in FULL:
        return f"The disk of {folder} is full. Make room there, then start again."
    where = f" ({error.filename})" if error.filename else ""
    return (
        f"The data folder {folder} cannot be used: {why}{where}. Let this account "
        "write there, or set SHOP_DATA to another folder."
    )


def _store_said(why: str) -> str:
    store, low = connection.settings_dict["NAME"], why.lower()
    if "full" in low or "no space" in low or is_full(Path(settings.SHOP_DATA)):
        return f"The disk of the store {store} is full. Make room, then start again."
    if "readonly" in low or "unable to open" in low or "read-only" in low:
        return f"The store {store} cannot be written: {why}. Let this account write it."
    if "malformed" in low or "not a database" in low:
        return (
            f"The store {store} is damaged: {why}.\n"
            "Leave it as it is, and bring the last backup back into an empty place:\n"
            f"  SHOP_DATA=(a new folder) manage.py restore {own_shelf()}"
        )
    return f"The store {store} cannot be opened: {why}"


def missing_packages() -> Iterator[str]:
    """Debian packages without which printing or background work fails."""
    absent = [package for name, package in PANGO.items() if not _loads(name)]
    yield from absent
    # Without any font the printing library brings its whole process down.
    if not absent and not _has_a_font():
        yield FONT
    if has_own_redis() and redis_program() is None:
        yield REDIS


def has_own_redis() -> bool:
    """True when no REDIS_URL points to a Redis that somebody else runs."""
    return bool(f"unix://{redis_socket()}" == settings.REDIS_URL)


def redis_socket() -> Path:
    """Where the shop's private Redis listens."""
    return Path(settings.SHOP_DATA) / "redis.sock"


def redis_program() -> str | None:
    """The path of redis-server."""
    path = os.pathsep.join([os.environ.get("PATH", ""), SEARCHED])
    return shutil.which("redis-server", path=path)


def lock_data_folder() -> IO[str]:
    """Hold the data folder for this process; raises `NotReady` when it is held."""
    held = (Path(settings.SHOP_DATA) / "lock").open("a")
    try:
        fcntl.flock(held, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError:
        held.close()
        raise NotReady(
            f"Another shop is open on this data folder: {settings.SHOP_DATA}\n"
            "Stop it first, or set SHOP_DATA to a folder of its own."
        ) from None
    return held


def check_port(host: str, port: int) -> None:
    """Raise `NotReady` when somebody listens on the port already."""
    with socket.socket() as listener:
        listener.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            listener.bind((host, port))
        except OSError as error:
            raise NotReady(
                f"Port {port} cannot be used: {error.strerror}. "
                f"Choose another: serve --port {port + 1}"
            ) from None


def own_names() -> list[str]:
    """Host names and addresses under which this machine is reached on its network."""
    name = socket.gethostname()
    addresses = {"127.0.0.1", *_addresses_of(name)}
    # No packet is sent: this only asks which of our addresses would be used
    # (192.0.2.1 is set aside for documentation, RFC 5737).
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as asking:
        try:
            asking.connect(("192.0.2.1", 9))
            addresses.add(asking.getsockname()[0])
        except OSError:
            pass
    return ["localhost", name, f"{name}.local", *sorted(addresses)]


def _addresses_of(name: str) -> set[str]:
    try:
        found = socket.getaddrinfo(name, None, socket.AF_INET)
    except OSError:
        return set()
    return {str(entry[4][0]) for entry in found}


def _loads(library: str) -> bool:
    try:
        ctypes.CDLL(library)
    except OSError:
        return False
    return True


class _FontSet(ctypes.Structure):
    """The head of fontconfig's FcFontSet."""

    _fields_ = [("count", ctypes.c_int)]


def _has_a_font() -> bool:
    fontconfig = ctypes.CDLL("libfontconfig.so.1")
    fontconfig.FcConfigGetFonts.restype = ctypes.POINTER(_FontSet)
    fontconfig.FcInit()
    fonts = fontconfig.FcConfigGetFonts(None, 0)
    return bool(fonts) and fonts.contents.count > 0


def time_zone() -> str:
    """The zone that this machine goes by; "UTC" where it does not say."""
    named = os.environ.get("TZ", "").removeprefix(":")
    if not named:
        named = str(Path("/etc/localtime").resolve()).partition("/zoneinfo/")[2]
    return named if named in zoneinfo.available_timezones() else "UTC"
