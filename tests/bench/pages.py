"""Every main page with many closed orders behind it, beside the same page without.

    python -m tests.bench.pages [--orders 200000] [--requests 30]

The demo shop, once as it is and once with copies of its closed orders (an eighth of
a gigabyte for each ten thousand), in two SQLite files. The same pages are asked of
both in turn, so that a busy machine slows both alike. Exits non-zero when a page asks
another number of queries, or when its 95th percentile is more than 1.5 times as long
in three measurements.
"""

from __future__ import annotations

import argparse
import atexit
import gc
import io
import os
import platform
import shutil
import sys
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from urllib.parse import quote

import django

DATA = tempfile.TemporaryDirectory(prefix="shop-bench-")
atexit.register(DATA.cleanup)
os.environ.pop("DATABASE_URL", None)
os.environ |= {
    "SHOP_DATA": DATA.name,
    "DJANGO_SETTINGS_MODULE": "shopapp.settings",
    "LOG_LEVEL": "CRITICAL",
}
(Path(DATA.name) / "static").mkdir()
django.setup()

from django.conf import settings  # noqa: E402
from django.core.management import call_command  # noqa: E402
from django.db import connection  # noqa: E402
from django.test import Client  # noqa: E402
from django.test.utils import CaptureQueriesContext  # noqa: E402
from django.urls import NoReverseMatch, get_resolver, reverse  # noqa: E402

from jobs.models import Booking, Film, Roll, WorkOrder  # noqa: E402
from jobs.stages.table import Stage  # noqa: E402
from mixing.models import Batch, StockContainer, Vessel  # noqa: E402
from shopapp.models import Person  # noqa: E402
from tests.bench.history import grow  # noqa: E402

SMALL, LARGE = Path(DATA.name) / "small.sqlite3", Path(DATA.name) / "large.sqlite3"
RATIO, MEASURED = 1.5, 3
NOT_PAGES = {"live_ticket", "healthz", "readyz", "sign_in", "home", "trust_certificate"}
ORDER = ("detail", "panels", "checks", "mixing", "film", "papers", "safety", "history")


@contextmanager
def over(base: Path) -> Iterator[None]:
    """Let every query go to that file."""
    connection.close()
    connection.settings_dict["NAME"] = base
    try:
        yield
    finally:
        connection.close()


@dataclass
class Page:
    """A page, and what was measured of it in the small and the large shop."""

    url: str
    queries: tuple[int, int] = (0, 0)
    p95_ms: tuple[float, float] = (0.0, 0.0)

    @property
    def ratio(self) -> float:
        """The large shop's time over the small one's."""
        return self.p95_ms[1] / self.p95_ms[0]

    @property
    def misses(self) -> str:
        """What is wrong, or nothing."""
        if self.queries[0] != self.queries[1]:
            return "queries"
        return "time" if self.ratio > RATIO else ""


def addresses() -> list[str]:
    """Pages without a subject, and those of a car, a booking, a roll and so on."""
    found = []
    for name in names(get_resolver()):
        try:
            found.append(reverse(name))
        except NoReverseMatch:
            continue
    installing = WorkOrder.objects.filter(stage=Stage.INSTALL.value)[0]
    closed = WorkOrder.objects.filter(stage=Stage.CLOSED.value).latest("pk")
    for order in (installing, closed):
        found += [reverse(f"jobs:workorder_{name}", args=[order.pk]) for name in ORDER]
    curing = WorkOrder.objects.filter(stage=Stage.CURE.value)[0]
    booked = Booking.objects.filter(state=Booking.State.BOOKED)[0]
    roll = Roll.objects.filter(retired_at=None)[0]
    subjects = {
        "jobs:handover_detail": curing.pk,
        "jobs:booking_detail": booked.pk,
        "jobs:booking_edit": booked.pk,
        "jobs:arrival_detail": booked.pk,
        "jobs:customer_detail": installing.customer_id,
        "jobs:vehicle_detail": installing.vehicle_id,
        "jobs:film_detail": Film.objects.all()[0].pk,
        "jobs:roll_detail": roll.pk,
        "mixing:batch_detail": Batch.objects.all()[0].pk,
        "mixing:vessel_detail": Vessel.objects.all()[0].code,
        "mixing:container_detail": StockContainer.objects.all()[0].code,
    }
    found += [reverse(name, args=[key]) for name, key in subjects.items()]
    name = installing.customer.name.split()[0]
    found += [f"{reverse('jobs:customers')}?q={name}"]
    of_old = closed.vehicle.plate, closed.number, closed.customer.phone
    of_now = installing.vehicle.plate, installing.customer.phone, name
    asked = (*of_now, *of_old, "no such car")
    found += [f"{reverse('jobs:search')}?q={quote(text)}" for text in asked]
    return [url for url in dict.fromkeys(found) if is_page(url)]


def names(resolver: object, space: str = "") -> Iterator[str]:
    """Every URL name, with its namespace."""
    for pattern in resolver.url_patterns:
        if hasattr(pattern, "url_patterns"):
            yield from names(pattern, pattern.namespace or space)
        elif pattern.name and pattern.name not in NOT_PAGES:
            yield f"{space}:{pattern.name}" if space else pattern.name


def client() -> Client:
    """A browser of somebody who may see everything."""
    made = Client(SERVER_NAME="localhost")
    made.force_login(Person.objects.get(username="alva"))
    return made


def is_page(url: str) -> bool:
    """Whether it answers a GET with a page."""
    answer = browser.get(url)
    return answer.status_code == 200 and "html" in answer["Content-Type"]


def measure(page: Page, requests: int) -> None:
    """The same page of both shops, in turn."""
    times: tuple[list[float], list[float]] = ([], [])
    counted = [0, 0]
    for at, base in enumerate((SMALL, LARGE)):
        with over(base), CaptureQueriesContext(connection) as queries:
            browser.get(page.url)
        counted[at] = len(queries)
    gc.collect()
    for _ in range(requests):
        for at, base in enumerate((SMALL, LARGE)):
            with over(base):
                begun = time.perf_counter()
                browser.get(page.url)
                times[at].append((time.perf_counter() - begun) * 1000)
    page.queries = (counted[0], counted[1])
    page.p95_ms = (p95(times[0]), p95(times[1]))


def p95(times: list[float]) -> float:
    """The 95th percentile."""
    return sorted(times)[int(len(times) * 0.95)]


def fill(orders: int) -> int:
    """The two shops; how many closed orders the large one has."""
    settings.BACKGROUND_BELL = "tests.makers.no_bell"
    settings.PASSWORD_HASHERS = ["tests.makers.QuickHasher"]
    with over(SMALL):
        call_command("migrate", verbosity=0)
        call_command("demo", password="a long enough password", stdout=io.StringIO())
        browser.cookies = client().cookies
        with connection.cursor() as cursor:
            cursor.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    shutil.copy(SMALL, LARGE)
    with over(LARGE):
        return grow(orders)


browser = Client(SERVER_NAME="localhost")


def main() -> None:
    """Measure, print, judge."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--orders", type=int, default=200_000)
    parser.add_argument("--requests", type=int, default=30)
    parser.add_argument("--page", default="", help="only addresses that hold this")
    asked = parser.parse_args()
    begun = time.perf_counter()
    closed = fill(asked.orders)
    size_mb = LARGE.stat().st_size / 1e6
    load = " ".join(f"{part:.1f}" for part in os.getloadavg())
    print(f"{platform.machine()}, {os.cpu_count()} cores, load {load}, SQLite")
    print(
        f"{closed} closed orders, {size_mb:.0f} MB, made in "
        f"{time.perf_counter() - begun:.0f} s; {asked.requests} requests a page"
    )
    with over(SMALL):
        pages = [Page(url) for url in addresses() if asked.page in url]
    print(f"{'page':44} queries      p95 ms          ratio")
    for page in pages:
        for _ in range(MEASURED):
            measure(page, asked.requests)
            if not page.misses:
                break
        small, large = page.p95_ms
        print(
            f"{page.url:44} {page.queries[0]:3} {page.queries[1]:3} "
            f"{small:8.1f} {large:8.1f} {page.ratio:8.2f}  {page.misses}",
            flush=True,
        )
    if missed := [page for page in pages if page.misses]:
        sys.exit(f"FAIL: {len(missed)} of {len(pages)} pages")


if __name__ == "__main__":
    main()
