"""Processor time and number of queries of the main pages, each asked warm.

    SHOP_DATA=/a/demo/shop python -m tests.bench.processor [--page panels] [--profile]

Over a base that stands (`manage.py migrate`, `manage.py demo`); nothing is written.
The median of 15 requests of each page, in milliseconds of this process alone, so that
a busy machine changes little. CUSTOMER_TOKEN is the end of the customer's address that
the demo prints. `--profile` prints where each page spends its time.
"""

from __future__ import annotations

import argparse
import cProfile
import gc
import os
import pstats
import re
import statistics
import time
from collections import Counter
from collections.abc import Iterator

import django

os.environ |= {"DJANGO_SETTINGS_MODULE": "shopapp.settings", "LOG_LEVEL": "CRITICAL"}
django.setup()

from django.db import connection  # noqa: E402
from django.test import Client  # noqa: E402
from django.test.utils import CaptureQueriesContext  # noqa: E402
from django.urls import reverse  # noqa: E402

from jobs.models import Booking, Film, Roll, WorkOrder  # noqa: E402
from jobs.stages.leaving import Stage  # noqa: E402
from mixing.models import Batch, Recipe, StockContainer, Vessel  # noqa: E402
from shopapp.models import Bay, Person  # noqa: E402

OF_AN_ORDER = (
    *("detail", "panels", "mixing", "checks", "film", "safety", "heat", "papers"),
    *("history", "trouble"),
)
WITHOUT_SUBJECT = (
    *("jobs:floor", "jobs:wall", "jobs:my_work", "jobs:calls", "jobs:handovers"),
    *("jobs:arrivals", "jobs:bookings", "jobs:booking_new", "jobs:customers"),
    *("jobs:film", "jobs:film_new", "jobs:film_list", "jobs:pull_day"),
    *("jobs:panel_sizes", "jobs:safety", "jobs:safety_register", "jobs:prices"),
    *("jobs:rules", "jobs:acceptance", "jobs:cure_table", "jobs:laying"),
    *("jobs:checklists", "mixing:bench", "mixing:vessels", "mixing:dispensers"),
    *("mixing:bench_settings", "mixing:water", "mixing:recipes", "mixing:stock"),
    *("mixing:chemicals", "mixing:flash_points", "mixing:bays", "mixing:air"),
    *(
        "mixing:rule_sets",
        "shopapp:settings",
        "shopapp:shop_settings",
        "shopapp:open_days",
        "shopapp:people",
    ),
)
GUIDED = re.compile(r'href="(/workorders/\d+/mixing/[^"?#]+)"')


def addresses() -> Iterator[tuple[str, str]]:
    """What a page is called, and where it is."""
    for name in WITHOUT_SUBJECT:
        yield name, reverse(name)
    for stage in Stage:
        if order := WorkOrder.objects.filter(stage=stage.value).last():
            yield from pages_of(order)
    booked = Booking.objects.filter(state=Booking.State.BOOKED)[0]
    order = WorkOrder.objects.all()[0]
    subjects = {
        "jobs:booking_detail": booked.pk,
        "jobs:booking_edit": booked.pk,
        "jobs:arrival_detail": booked.pk,
        "jobs:customer_detail": order.customer_id,
        "jobs:vehicle_detail": order.vehicle_id,
        "jobs:film_detail": Film.objects.all()[0].pk,
        "jobs:roll_detail": Roll.objects.filter(retired_at=None)[0].pk,
        "mixing:batch_detail": Batch.objects.all()[0].pk,
        "mixing:vessel_detail": Vessel.objects.all()[0].code,
        "mixing:container_detail": StockContainer.objects.all()[0].code,
        "mixing:bay_detail": Bay.objects.all()[0].pk,
        "mixing:recipe_detail": Recipe.objects.all()[0].pk,
    }
    for name, key in subjects.items():
        yield name, reverse(name, args=[key])
    if token := os.environ.get("CUSTOMER_TOKEN"):
        yield "jobs:customer_page", reverse("jobs:customer_page", args=[token])


def pages_of(order: WorkOrder) -> Iterator[tuple[str, str]]:
    """An order's pages; the guided mix by the links of its mixing page."""
    for name in OF_AN_ORDER:
        url = reverse(f"jobs:workorder_{name}", args=[order.pk])
        yield f"{order.stage} {name}", url
        if name == "mixing":
            shown = browser.get(url).content.decode()
            for link in dict.fromkeys(GUIDED.findall(shown)):
                yield f"{order.stage} {link.partition('mixing/')[2]}", link
    yield f"{order.stage} hand-over", reverse("jobs:handover_detail", args=[order.pk])


def measured(url: str, requests: int) -> tuple[float, int, int]:
    """The median in milliseconds, the queries, and how many of them came again."""
    with CaptureQueriesContext(connection) as asked:
        if browser.get(url).status_code != 200:
            return 0.0, 0, 0
    queries = [query["sql"] for query in asked.captured_queries]
    browser.get(url)
    gc.collect()
    times = []
    for _ in range(requests):
        begun = time.process_time()
        browser.get(url)
        times.append((time.process_time() - begun) * 1000)
    return statistics.median(times), len(queries), len(queries) - len(set(queries))


def profile(url: str) -> None:
    """Where the page spends its time, and the queries it asks more than once."""
    with CaptureQueriesContext(connection) as asked:
        browser.get(url)
    again = Counter(query["sql"] for query in asked.captured_queries)
    for sql, times in again.most_common():
        if times > 1:
            print(f"{times} x {sql[:400]}")
    kept = cProfile.Profile()
    kept.enable()
    for _ in range(5):
        browser.get(url)
    kept.disable()
    pstats.Stats(kept).sort_stats("cumulative").print_stats(110)
    pstats.Stats(kept).sort_stats("tottime").print_stats(25)


browser = Client(SERVER_NAME="localhost")


def main() -> None:
    """Measure and print."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--page", default="", help="only names that hold this")
    parser.add_argument("--requests", type=int, default=15)
    parser.add_argument("--profile", action="store_true")
    asked = parser.parse_args()
    browser.force_login(Person.objects.get(username="alva"))
    print(f"{'page':34} processor ms  queries  again")
    for name, url in addresses():
        if asked.page not in name:
            continue
        if asked.profile:
            profile(url)
        taken_ms, queries, again = measured(url, asked.requests)
        if queries:
            print(f"{name:34} {taken_ms:12.1f} {queries:8} {again:6}", flush=True)


if __name__ == "__main__":
    main()
