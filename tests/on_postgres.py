"""The tests marked `postgres`, on a PostgreSQL of our own.

`python -m tests.on_postgres`; the usual run has them on SQLite. What else is given goes
on to pytest.
"""

from __future__ import annotations

import os
import shutil
import subprocess
import sys

from tests.stores import PLACES, running_postgres


def program(name: str) -> str:
    """Its path; without PostgreSQL there is nothing to run."""
    path = shutil.which(name, path=os.pathsep.join([os.environ["PATH"], *PLACES]))
    if path is None:
        sys.exit(f"{name} is not installed: see the test command of README.md.")
    return path


def main(more: list[str]) -> int:
    """Run them; the exit code is pytest's."""
    with running_postgres(initdb=program("initdb"), pg_ctl=program("pg_ctl")) as url:
        pytest = [sys.executable, "-m", "pytest", "-q", "-m", "postgres", "tests"]
        given = {**os.environ, "DATABASE_URL": url}
        return subprocess.run([*pytest, *more], env=given, check=False).returncode


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
