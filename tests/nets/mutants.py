"""Seeded faults: each is put into a throw-away copy of HEAD, where its test must fail.

A fault is a text that stands once in the Python sources, so it is found again when
its file moves; a test is named by its file's own name, for the same reason.
"""

from __future__ import annotations

import io
import subprocess
import sys
import tarfile
import tempfile
import time
import tomllib
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
LISTED = Path(__file__).parent / "mutants.toml"
PACKAGES = ("shopapp", "jobs", "mixing")
AT_ONCE = 2
TESTS_FAILED = 1
"""What pytest exits with when tests ran and some failed."""


@dataclass(frozen=True, kw_only=True)
class Mutant:
    """One fault; `killer` is `test_file.py::test_name`."""

    name: str
    breaks: str
    old: str
    new: str
    killer: str


def listed() -> list[Mutant]:
    """All of them, in the order of the file."""
    found = []
    for name, row in tomllib.loads(LISTED.read_text()).items():
        texts = {key: text.strip("\n") for key, text in row.items()}
        found.append(Mutant(name=name, **texts))
    return found


def places(mutant: Mutant, root: Path = ROOT) -> list[Path]:
    """The file of the text, once for each time that it stands there."""
    found = []
    for package in PACKAGES:
        for path in sorted((root / package).rglob("*.py")):
            if "migrations" not in path.parts:
                found += [path] * path.read_text().count(mutant.old)
    return found


def killers(mutant: Mutant, root: Path = ROOT) -> list[Path]:
    """The files of its test's name."""
    return sorted((root / "tests").rglob(mutant.killer.partition("::")[0]))


def try_mutants(names: set[str]) -> int:
    """Try each, or the named ones; 1 when one lives or cannot be put in."""
    wanted = [each for each in listed() if not names or each.name in names]
    with ThreadPoolExecutor(AT_ONCE) as threads:
        shares = [wanted[at::AT_ONCE] for at in range(AT_ONCE)]
        alive = sum(threads.map(_try_share, shares))
    print(f"{len(wanted) - alive} of {len(wanted)} mutants killed")
    return 1 if alive or not wanted else 0


def _try_share(mutants: list[Mutant]) -> int:
    """How many of these were not killed, in a copy of their own."""
    alive = 0
    with tempfile.TemporaryDirectory(prefix="shop-mutants-") as folder:
        _copy_of_head(Path(folder))
        for mutant in mutants:
            begun = time.monotonic()
            told = _tried(mutant, Path(folder))
            alive += told != "killed"
            print(
                f"{told:8} {time.monotonic() - begun:4.0f} s  {mutant.name}", flush=True
            )
    return alive


def _copy_of_head(folder: Path) -> None:
    archive = ["git", "archive", "--format=tar", "HEAD"]
    done = subprocess.run(archive, cwd=ROOT, capture_output=True, check=True)
    with tarfile.open(fileobj=io.BytesIO(done.stdout)) as tar:
        tar.extractall(folder, filter="data")
    # Known by its content: a file that changes twice in a second keeps its date.
    compiled = ["-m", "compileall", "-q", "--invalidation-mode", "checked-hash"]
    subprocess.run([sys.executable, *compiled, "."], cwd=folder, check=True)


def _tried(mutant: Mutant, root: Path) -> str:
    found, tests = places(mutant, root), killers(mutant, root)
    if len(found) != 1 or len(tests) != 1:
        return f"LOST: its text stands {len(found)} times, its test {len(tests)} times"
    (path,), text = found, found[0].read_text()
    try:
        path.write_text(text.replace(mutant.old, mutant.new))
        return _killed_by(f"{tests[0]}::{mutant.killer.partition('::')[2]}", root)
    finally:
        path.write_text(text)


def _killed_by(test: str, root: Path) -> str:
    command = [sys.executable, "-B", "-m", "pytest", "-q", "-x", test]
    command += ["-p", "no:cacheprovider"]
    done = subprocess.run(
        command, cwd=root, capture_output=True, text=True, check=False
    )
    if done.returncode == TESTS_FAILED and "\nFAILED " in done.stdout:
        return "killed"
    return "SURVIVED" if not done.returncode else "BROKEN"
