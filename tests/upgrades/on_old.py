"""Each test of a finding on the product as it was, with how it fails there.

    python -m tests.upgrades.on_old ["car 4" "desk 8" ...]

Without findings: all of them. A test counts when an assertion of the test itself fails;
a fault in an import, a fixture or the product, or a pass, is NOT COUNTED and makes the
exit code 1. The old product is checked out into a folder of its own, which goes again;
nothing but the named test files is copied there.
"""

from __future__ import annotations

import csv
import json
import os
import re
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from tests.upgrades.findings import ROOT, Row, rows

OLD = "5979d35"
WIDTH = 150
with (Path(__file__).with_name("moved.csv")).open(newline="") as lines:
    MOVED = {row["new"]: row["old"] for row in csv.DictReader(lines)}
"""Modules by their name now: how they were called before the rooms were by noun."""
MOVED_NAMES = re.compile(
    r"(?<![\w.])(" + "|".join(sorted(MOVED, key=len, reverse=True)) + r")(?!\w)"
)


def main(wanted: list[str]) -> int:
    """Run and print; 1 where a test does not count."""
    listed = [row for row in rows() if not wanted or row.finding in wanted]
    if not listed:
        sys.stdout.write("No such finding is listed.\n")
        return 1
    with old_product() as folder:
        outcomes = run(listed, folder)
    uncounted = 0
    for row in listed:
        counts, said = verdict(row, outcomes)
        uncounted += not counts
        mark = "" if counts else "NOT COUNTED: "
        sys.stdout.write(f"{row.finding} | {row.test} | {mark}{said[:WIDTH]}\n")
    sys.stdout.write(f"{len(listed)} tests, {uncounted} not counted.\n")
    return 1 if uncounted else 0


@contextmanager
def old_product() -> Iterator[Path]:
    """A checkout of the old product with this environment."""
    folder = Path(tempfile.mkdtemp(prefix="old-"))
    git = ["git", "-C", str(ROOT), "worktree"]
    try:
        subprocess.run([*git, "add", "-q", "--detach", folder / "at", OLD], check=True)
        yield folder / "at"
    finally:
        subprocess.run([*git, "remove", "--force", folder / "at"], check=False)
        shutil.rmtree(folder, ignore_errors=True)


def run(listed: list[Row], folder: Path) -> dict[str, dict[str, str]]:
    """What became of each test there, by its whole name."""
    for file in {row.file for row in listed}:
        there = folder / at_that_time(file)
        there.parent.mkdir(parents=True, exist_ok=True)
        there.write_text(as_called_then((ROOT / file).read_text()))
    shutil.copy(Path(__file__).with_name("telling.py"), folder / "on_old_telling.py")
    told = folder / "told.json"
    subprocess.run(
        [sys.executable, "-m", "pytest", "-q", "--no-header", "--tb=no", "-p"]
        + [
            "no:cacheprovider",
            "-p",
            "on_old_telling",
            "--continue-on-collection-errors",
        ]
        + sorted({at_that_time(row.file) for row in listed}),
        cwd=folder,
        env={
            **os.environ,
            "PYTHONPATH": str(folder),
            "ON_OLD_TOLD": str(told),
            "ON_OLD_WANTED": json.dumps([at_that_time(row.test) for row in listed]),
        },
        stdout=subprocess.DEVNULL,
        check=False,
    )
    found: dict[str, dict[str, str]] = json.loads(told.read_text())
    return found


def as_called_then(text: str) -> str:
    """A test's text with the modules called as they were before they moved."""
    return MOVED_NAMES.sub(lambda found: MOVED[found[0]], text)


def at_that_time(test: str) -> str:
    """The test or file where it lay before it moved."""
    file, mark, name = test.partition("::")
    module = file.removesuffix(".py").replace("/", ".")
    return MOVED.get(module, module).replace(".", "/") + ".py" + mark + name


def verdict(row: Row, outcomes: dict[str, dict[str, str]]) -> tuple[bool, str]:
    """Whether it counts, and the first line of its failure.

    A test with parameters counts when one of them fails by its assertion and none by
    anything else: what was right for one value before may stay right.
    """
    mine = [
        told
        for name, told in outcomes.items()
        if name in (at_that_time(row.test), at_that_time(row.file))
        or name.startswith(f"{at_that_time(row.test)}[")
    ]
    faults = [told for told in mine if told["how"] == "fault"]
    failed = [told for told in mine if told["how"] == "assertion"]
    if faults:
        return False, faults[0]["said"]
    if failed:
        return True, failed[0]["said"]
    return False, "it passes there" if mine else "it did not run"


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
