"""What differs between two kept folders."""

from __future__ import annotations

import difflib
import re
from collections import Counter
from itertools import islice
from pathlib import Path

from tests.nets.plain_html import without_chance


def compare(old: Path, new: Path, *, lines: int = 8) -> int:
    """Print it; 1 when a page, a paper, a press or the URLs differ."""
    differ = 0
    for part in ("urls.csv", "pages", "papers", "presses"):
        files = _files(old, part) | _files(new, part)
        changed = [name for name in sorted(files) if _print(old, new, name, lines)]
        print(f"{part}: {len(changed)} of {len(files)} differ")
        differ += len(changed) + (not files)
    _print_tests(old / "tests.txt", new / "tests.txt")
    return 1 if differ else 0


def _files(folder: Path, part: str) -> set[str]:
    top = folder / part
    found = [top] if top.is_file() else top.rglob("*")
    return {str(path.relative_to(folder)) for path in found if path.is_file()}


def _print(old: Path, new: Path, name: str, lines: int) -> bool:
    for one, other in ((old, new), (new, old)):
        if not (other / name).exists():
            print(f"{name}: only in {one}")
            return True
    before, after = ((each / name).read_text() for each in (old, new))
    if before == after:
        return False
    # What an earlier `keep` did not know to be chance.
    before, after = without_chance(before), without_chance(after)
    if before == after:
        return False
    print(f"{name}:")
    told = difflib.unified_diff(
        before.splitlines(), after.splitlines(), "old", "new", n=1, lineterm=""
    )
    for line in islice(told, 2, 2 + lines):
        print(f"    {line[:160]}")
    return True


def _print_tests(old: Path, new: Path) -> None:
    before, after = (
        Counter(map(moved_id, each.read_text().splitlines())) for each in (old, new)
    )
    gone, added = before - after, after - before
    print(f"tests: {before.total()} before, {after.total()} after")
    names = {each.partition("::")[2] for each in added}
    for each in sorted(gone.elements()):
        there = each.partition("::")[2] in names
        print(f"    {'in another file' if there else 'GONE'}: {each}")
    for each in sorted(added.elements()):
        print(f"    added: {each}")


def moved_id(test: str) -> str:
    """A test's id without the folders that its file may move between.

    >>> moved_id("tests/jobs/test_cure.py::test_a[jobs.cure-2]")
    'test_cure.py::test_a[jobs.cure-2]'
    >>> moved_id("jobs/cure.py::jobs.cure.settled_at")
    'cure.py::settled_at'
    """
    path, _, name = test.partition("::")
    module = path.removesuffix(".py").removesuffix("/__init__").replace("/", ".")
    return f"{re.split('/', path)[-1]}::{name.removeprefix(f'{module}.')}"
