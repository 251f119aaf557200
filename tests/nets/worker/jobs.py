"""What each job writes."""

from __future__ import annotations

import csv
import shutil
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from django.conf import settings
from django.core.management import call_command
from django.test.utils import setup_test_environment

from shopapp.access import ALLOWED
from tests import furnished
from tests.addresses import ROUTES
from tests.nets.worker.pages import keep_pages
from tests.nets.worker.papers import keep_papers
from tests.nets.worker.presses import keep_presses
from tests.stores import migrated_in

OTHERS = ("desk", "installer", "stranger", "nobody")


def run(job: str, more: list[str], *, folder: Path, base: Path) -> int:
    """Do one job; the exit code."""
    if job == "tests":
        return keep_tests(folder / "tests.txt")
    settings.BACKGROUND_BELL = "tests.makers.no_bell"
    settings.PASSWORD_HASHERS = ["tests.makers.QuickHasher"]
    if job == "base":
        furnished.made_once(base, begun=migrated_in(base))
        return 0
    setup_test_environment()
    with shop_of(base) as shop:
        if job == "pages":
            keep_pages(shop, more, folder / "pages")
        elif job == "rest":
            keep_urls(folder / "urls.csv")
            keep_pages(shop, list(OTHERS), folder / "pages")
        elif job == "presses":
            keep_presses(shop, folder / "presses")
        else:
            keep_papers(folder / "papers")
    return 0


@contextmanager
def shop_of(base: Path) -> Iterator[furnished.Furnished]:
    """The kept shop in a copy of this process, brought to this checkout's tables."""
    data = Path(settings.SHOP_DATA)
    settings.MEDIA_ROOT = data / "media"
    shutil.copytree(base / "media", settings.MEDIA_ROOT)
    with furnished.over(furnished.own_copy(base / "shop.sqlite3", data)):
        call_command("migrate", verbosity=0)
        with furnished.rolled_back():
            yield furnished.Furnished()


def keep_urls(file: Path) -> None:
    """Every URL: name, pattern, methods, permission, who holds it."""
    with file.open("w", newline="") as out:
        table = csv.writer(out, lineterminator="\n")
        table.writerow(["name", "pattern", "methods", "permission", "roles"])
        for route in sorted(ROUTES, key=lambda route: (route.path, route.name)):
            roles = sorted(str(role) for role in ALLOWED.get(route.permission, ()))
            methods = " ".join(sorted(route.methods))
            table.writerow(
                [route.name, route.path, methods, route.permission, " ".join(roles)]
            )


def keep_tests(file: Path) -> int:
    """The ids that pytest collects."""
    pytest = [sys.executable, "-m", "pytest", "--collect-only", "-q"]
    pytest += ["-p", "no:cacheprovider", "--ignore=tests/nets"]
    done = subprocess.run(pytest, capture_output=True, text=True, check=False)
    ids = [line for line in done.stdout.splitlines() if "::" in line]
    file.write_text("".join(f"{each}\n" for each in sorted(ids)))
    if done.returncode:
        sys.stderr.write(done.stdout[-3000:])
    return done.returncode
