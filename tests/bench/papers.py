"""How long a work order takes from its facts to a kept file, and a reprint.

    python -m tests.bench.papers

A store of its own, an order with reading, sheet, cut list, safety block and
checklists, both sizes. Beside it, the same engine on a bare page of as many words:
what is left is the layout. Exits non-zero when a warm work order of four pages takes
1.2 s or more, or a reprint 30 ms or more.
"""

from __future__ import annotations

import os
import platform
import re
import statistics
import sys
import tempfile
import time
from collections.abc import Callable

import django

DATA = tempfile.TemporaryDirectory(prefix="shop-bench-")
os.environ |= {
    "SHOP_DATA": DATA.name,
    "DJANGO_SETTINGS_MODULE": "shopapp.settings",
    "LOG_LEVEL": "ERROR",
}
django.setup()

from django.conf import settings  # noqa: E402
from django.core.management import call_command  # noqa: E402
from django.test import Client  # noqa: E402
from django.urls import reverse  # noqa: E402

from jobs import tasks  # noqa: E402
from jobs.models import Paper  # noqa: E402
from jobs.papers.html_facts import attachments, paper_html  # noqa: E402
from shopapp.models import Person  # noqa: E402
from shopapp.printing import Attachment, pdf_from_html  # noqa: E402
from tests.jobs.papers.orders import ask, make_full_order, waiting_task  # noqa: E402

settings.BACKGROUND_BELL = "tests.makers.no_bell"
settings.ALLOWED_HOSTS = ["testserver"]
RUNS = 7
FLOOR_S, FLOOR_REPRINT_S, PAGES = 1.2, 0.030, 4


def timed(what: str, do: Callable[[], object]) -> float:
    """The median of the runs, s; printed with the worst and the processor's share."""
    took, busy = [], []
    for _ in range(RUNS):
        start, cpu = time.perf_counter(), time.process_time()
        do()
        took.append(time.perf_counter() - start)
        busy.append(time.process_time() - cpu)
    median = statistics.median(took)
    print(
        f"{what:40s} median {1000 * median:7.1f} ms   worst {1000 * max(took):7.1f} ms"
        f"   processor {1000 * statistics.median(busy):7.1f} ms"
    )
    return median


def bare_page(html: str) -> str:
    """The words of a page without its layout."""
    words = re.sub(r"<[^>]+>", " ", html.partition("<main>")[2])
    return (
        '<!doctype html><html lang="en"><head><title>words</title>'
        '<link rel="stylesheet" href="/static/shopapp/print.css"></head>'
        f"<body><p>{words}</p></body></html>"
    )


def main() -> int:
    """Print the figures; 1 when one is under its floor."""
    # As `serve` does: the site looks for this folder when it starts.
    settings.STATIC_ROOT.mkdir(exist_ok=True)
    call_command("migrate", verbosity=0)
    order = make_full_order()
    person = Person.objects.get(username="pru")
    load = ", ".join(f"{each:.1f}" for each in os.getloadavg())
    print(
        f"{platform.machine()}, {os.cpu_count()} cores, Python "
        f"{platform.python_version()}, load {load}, {RUNS} runs"
    )
    good = True
    for size in ("A4", "Letter"):
        paper = ask(order, person, size=size)
        tasks.issue_paper(waiting_task(paper).pk)
        paper.refresh_from_db()
        kept = [Attachment(**each) for each in attachments(paper)]
        html = paper_html(paper)
        timed(f"{size}: facts and asking", lambda s=size: ask(order, person, size=s))
        timed(f"{size}: page", lambda p=paper: paper_html(p))
        whole = timed(
            f"{size}: page and PDF, {paper.pages} pages",
            lambda p=paper, k=kept: pdf_from_html(paper_html(p), attachments=k),
        )
        bare = bare_page(html)
        timed(f"{size}: its words alone, same engine", lambda b=bare: pdf_from_html(b))
        good &= whole < FLOOR_S and paper.pages == PAGES
        good &= reprint(paper, person) < FLOOR_REPRINT_S
    print("within the floors" if good else "UNDER THE FLOOR")
    return 0 if good else 1


def reprint(paper: Paper, person: Person) -> float:
    """The kept bytes through the whole site, sign-in and all."""
    client = Client()
    client.force_login(person)
    url = reverse("jobs:paper_detail", args=[paper.pk])
    return timed(f"{paper.size}: reprint through the site", lambda: client.get(url))


if __name__ == "__main__":
    sys.exit(main())
