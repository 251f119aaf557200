"""A PostgreSQL of our own, on a socket, for as long as it is needed."""

from __future__ import annotations

import os
import shutil
import subprocess
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

PLACES = [str(path) for path in Path("/usr/lib/postgresql").glob("*/bin")]
CARELESS = "-c fsync=off -c synchronous_commit=off -c full_page_writes=off"
"""For tests: faster, and whole only while the power stays on."""


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
