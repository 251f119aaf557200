"""Write down what the shop shows: a few processes, each over a copy of the base."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import tempfile
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
AT_ONCE = 2
JOBS = ("pages manager", "rest", "tests", "presses", "papers")
"""The longest first. `rest`: the other roles, the customer's links, the URLs."""


def keep(folder: Path, *, base: Path) -> int:
    """Fill the folder; the exit code."""
    folder, base = folder.resolve(), base.resolve()
    for part in ("pages", "papers", "presses"):
        shutil.rmtree(folder / part, ignore_errors=True)
    folder.mkdir(parents=True, exist_ok=True)
    base.mkdir(parents=True, exist_ok=True)
    begun = time.monotonic()
    with tempfile.TemporaryDirectory(prefix="shop-nets-") as data:
        if not (base / "shop.sqlite3").exists():
            _run(["base"], Path(data), folder=folder, base=base)
        failed = _run(list(JOBS), Path(data), folder=folder, base=base)
    kept = sum(1 for path in folder.rglob("*") if path.is_file())
    print(f"{folder}: {kept} files in {time.monotonic() - begun:.0f} s")
    return 1 if failed else 0


def _run(jobs: list[str], data: Path, *, folder: Path, base: Path) -> list[str]:
    """Run the jobs, two at once; those that failed."""
    waiting, running, failed = list(jobs), {}, []
    while waiting or running:
        while waiting and len(running) < AT_ONCE:
            job = waiting.pop(0)
            running[job] = _start(job, data, folder=folder, base=base)
        for job, process in list(running.items()):
            if process.poll() is not None:
                del running[job]
                failed += [job] if process.returncode else []
        time.sleep(0.1)
    for job in failed:
        print(f"FAILED: {job}", file=sys.stderr)
    return failed


def _start(
    job: str, data: Path, *, folder: Path, base: Path
) -> subprocess.Popen[bytes]:
    own = data / job.replace(" ", "-")
    (own / "static").mkdir(parents=True)
    ours = {name: text for name, text in os.environ.items() if name not in NOT_OURS}
    ours |= {
        "SHOP_DATA": str(own),
        "SECRET_KEY": "of the nets alone, and of no shop at all",
        "DJANGO_SETTINGS_MODULE": "shopapp.settings",
        "LOG_LEVEL": "CRITICAL",
        "PYTHONHASHSEED": "0",
    }
    command = [sys.executable, "-m", "tests.nets.worker", *job.split()]
    command += [str(folder), str(base)]
    return subprocess.Popen(command, env=ours, cwd=ROOT)


NOT_OURS = {"DATABASE_URL", "REDIS_URL", "DEBUG", "PUBLIC_URL", "PYTEST_ADDOPTS"}
