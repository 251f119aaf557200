"""What is marked `postgres` runs on SQLite in this run, and here on PostgreSQL."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]


@pytest.mark.skipif(
    bool(os.environ.get("DATABASE_URL")), reason="this run has a store of its own"
)
def test_everything_marked_so_passes_on_postgresql_too(postgres_url):
    run = subprocess.run(
        [sys.executable, "-m", "pytest", "-m", "postgres", "-q", "tests"]
        + ["-p", "no:cacheprovider", "-p", "no:xdist"],
        cwd=ROOT,
        env={**os.environ, "DATABASE_URL": postgres_url},
        capture_output=True,
        text=True,
        check=False,
    )
    assert run.returncode == 0, run.stdout[-6000:] + run.stderr[-2000:]
    passed = re.search(r"(\d+) passed", run.stdout)
    assert passed is not None
    assert int(passed[1]) >= 30
