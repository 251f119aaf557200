"""A migrated SQLite base to copy, and a PostgreSQL of our own on a socket."""

from __future__ import annotations

import fcntl
import os
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
PLACES = [str(path) for path in Path("/usr/lib/postgresql").glob("*/bin")]
CARELESS = "-c fsync=off -c synchronous_commit=off -c full_page_writes=off"
"""For tests: faster, and whole only while the power stays on."""


def of_this_run(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder that all processes of this test run share."""
    base = tmp_path_factory.getbasetemp()
    return base.parent if "PYTEST_XDIST_WORKER" in os.environ else base


def migrated_in(folder: Path) -> Path:
    """An SQLite base with every migration and no more, made by whoever is first."""
    base = folder / "migrated" / "shop.sqlite3"
    base.parent.mkdir(exist_ok=True)
    with open(base.parent / "lock", "w") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        if not base.exists():
            new = base.parent / "new"
            shutil.rmtree(new, ignore_errors=True)
            command = [sys.executable, "manage.py", "migrate", "-v0"]
            known = {k: v for k, v in os.environ.items() if k != "DATABASE_URL"}
            subprocess.run(
                command, cwd=ROOT, env={**known, "SHOP_DATA": str(new)}, check=True
            )
            (new / base.name).replace(base)
    return base


@contextmanager
def running_postgres(
    *, initdb: str, pg_ctl: str, options: str = CARELESS
) -> Iterator[str]:
    """The address of its base, as DATABASE_URL takes it; gone afterwards."""
    folder = Path(tempfile.mkdtemp(prefix="shop-pg-"))
    # initdb refuses to run as root.
    as_postgres: list[str] = []
    if os.geteuid() == 0:
        shutil.chown(folder, "postgres", "postgres")
        as_postgres = ["runuser", "-u", "postgres", "--"]
    base = folder / "base"

    def run(*command: str | Path) -> None:
        whole = [*as_postgres, *command]
        subprocess.run(whole, check=True, stdout=subprocess.DEVNULL, cwd=folder)

    run(
        *(initdb, "-D", base, "-A", "trust", "-N", "-E", "UTF8"),
        *("-U", "postgres", "--locale=C.UTF-8"),
    )
    socket = f"-c listen_addresses='' -c unix_socket_directories={folder}"
    log = ("-l", folder / "log")
    run(pg_ctl, "-D", base, *log, "-w", "-o", f"{socket} {options}", "start")
    try:
        yield f"postgres://postgres@{str(folder).replace('/', '%2F')}/postgres"
    finally:
        run(pg_ctl, "-D", base, "-m", "immediate", "stop")
        shutil.rmtree(folder, ignore_errors=True)
