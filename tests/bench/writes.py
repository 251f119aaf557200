"""Sixteen people press at once: nothing fails, nothing is lost, nothing doubled.

    python -m tests.bench.writes [--postgres] [--presses 60] [--runs 3]

Sixteen threads tick, lay film, read the bay, mix and move cars by the shop's own
actions, on eight cars that two of them share, over SQLite as a shop has it or over a
private PostgreSQL with fsync on. Every sixth press is sent twice at the same moment
with one key. A refusal is an answer. Exits non-zero unless there were 0 errors, 0
presses without their effect and 0 with two.
"""

from __future__ import annotations

import argparse
import atexit
import contextlib
import os
import platform
import random
import shutil
import statistics
import sys
import tempfile
import threading
import time
from collections import Counter
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any
from uuid import uuid4

import django

from tests.stores import PLACES, running_postgres


def settings_for(*, postgres: bool) -> str:
    """Point the settings at a store of our own; its name."""
    stack = contextlib.ExitStack()
    atexit.register(stack.close)
    folder = tempfile.TemporaryDirectory(prefix="shop-bench-")
    data = stack.enter_context(folder)
    os.environ.pop("DATABASE_URL", None)
    os.environ |= {
        "SHOP_DATA": data,
        "DJANGO_SETTINGS_MODULE": "shopapp.settings",
        "LOG_LEVEL": "ERROR",
    }
    (Path(data) / "static").mkdir()
    if not postgres:
        return "SQLite, synchronous=FULL"
    path = os.pathsep.join([os.environ["PATH"], *PLACES])
    initdb, pg_ctl = (shutil.which(name, path=path) for name in ("initdb", "pg_ctl"))
    if initdb is None or pg_ctl is None:
        sys.exit("FAIL: PostgreSQL is not installed")
    server = running_postgres(initdb=initdb, pg_ctl=pg_ctl, options="")
    os.environ["DATABASE_URL"] = stack.enter_context(server)
    return "PostgreSQL, fsync on"


STORE = settings_for(postgres="--postgres" in sys.argv)
django.setup()

from django.conf import settings  # noqa: E402
from django.core.management import call_command  # noqa: E402
from django.db import connection, connections  # noqa: E402
from django.db.models import Count, Sum  # noqa: E402
from django.utils import timezone  # noqa: E402

from jobs.checks.actions import answer_item  # noqa: E402
from jobs.condition.reading_actions import take_reading  # noqa: E402
from jobs.models import ChecklistAnswer, OrderReading, OrderSheet, WorkOrderEvent  # noqa: E402
from jobs.panels.actions import lay_panel, take_back_laid  # noqa: E402
from jobs.solutions.actions import make_sheet, record_mix  # noqa: E402
from jobs.stages.table import Stage  # noqa: E402
from jobs.workorders.actions import advance_stage, place_car  # noqa: E402
from mixing.bench.actions import empty_vessels  # noqa: E402
from mixing.models import Chemical, Fill, StockContainer, Substance, Vessel  # noqa: E402
from mixing.sheet.queries import sheet_of  # noqa: E402
from mixing.shelf.actions import receive_stock  # noqa: E402
from shopapp.frame import Refused, perform  # noqa: E402
from shopapp.models import Revision, Submission  # noqa: E402
from tests import makers  # noqa: E402
from tests.jobs.taps import make_order  # noqa: E402

THREADS, CARS = 16, 8
TWICE = 6
"""Every so many presses one is sent twice at once."""
ANY = 1e-3


@dataclass
class Heard:
    """What one thread heard: keys that were done, times, refusals, faults."""

    done: list[str] = field(default_factory=list)
    ms: list[float] = field(default_factory=list)
    refused: Counter[str] = field(default_factory=Counter)
    errors: list[str] = field(default_factory=list)
    first_answers: int = 0


class Shop:
    """Eight cars in install, a bench with a drum of alcohol, sixteen people."""

    def __init__(self) -> None:
        settings.BACKGROUND_BELL = "tests.makers.no_bell"
        settings.PASSWORD_HASHERS = ["tests.makers.QuickHasher"]
        call_command("migrate", verbosity=0)
        with contextlib.redirect_stdout(None):
            call_command("defaults", verbosity=0)
        names = [f"hand{number}" for number in range(THREADS)]
        roles = ("manager", "desk", "installer")
        self.people = [makers.make_person(*roles, username=name) for name in names]
        self.places = [makers.make_place("Yard", room_for=9)]
        self.places.append(makers.make_place("Wash", room_for=9))
        self.vessels = [
            makers.make_vessel(f"T{number}", "tack") for number in range(THREADS)
        ]
        chemical, _ = Chemical.objects.get_or_create(
            name="70 % alcohol", defaults={"substance": Substance.ALCOHOL}
        )
        self.press(
            self.people[0],
            receive_stock,
            chemical=chemical,
            code="DRUM",
            capacity_ml=250_000.0,
            strength_pct=91.0,
            strength_basis="vv",
            opened=True,
        )
        film = makers.make_film("BENCH")
        self.orders = [self._car(number, film) for number in range(CARS)]
        self.panels = [list(order.panels.all()) for order in self.orders]
        self.lists = [self._ticks(order) for order in self.orders]

    def press(self, by: Any, act: Any, /, *, key: str = "", **facts: Any) -> Any:
        """As a request does it: a connection is taken, and given back."""
        try:
            tap = makers.make_tap(by, key=key, at=timezone.now())
            return perform(tap, act, **facts)
        finally:
            connections.close_all()

    def _car(self, number: int, film: Any) -> Any:
        booking = makers.make_booking(
            self.people[0],
            film=film,
            vehicle=makers.make_vehicle(plate=f"TST {number}", vin=""),
        )
        place = self.places[0]
        return make_order(
            self.people[0], booking=booking, place=place, stage=Stage.INSTALL
        )

    def _ticks(self, order: Any) -> tuple[int, list[str]]:
        """The install list of an order, and its items that are ticked."""
        row = order.checklists.get(version__checklist__code="install")
        ticks = [i["code"] for i in row.version.items if i["kind"] == "tick"]
        return row.pk, ticks

    # -- what a person does ---------------------------------------------------------

    def choose(self, number: int, chance: random.Random) -> tuple[Any, dict[str, Any]]:
        """An action for this person, and its facts."""
        car = number % CARS
        order = {"workorder_pk": self.orders[car].pk}
        what = chance.choices(
            ["tick", "lay", "unlay", "read", "mix", "stand", "stage"],
            weights=[6, 4, 3, 3, 2, 2, 1],
        )[0]
        panel = {"panel_pk": chance.choice(self.panels[car]).pk}
        if what == "tick":
            row, ticks = self.lists[car]
            known = {"order_checklist_pk": row, "item": chance.choice(ticks)}
            return answer_item, order | known | {"ticked": chance.random() < 0.8}
        if what == "lay":
            return lay_panel, order | panel
        if what == "unlay":
            return take_back_laid, order | panel
        if what == "read":
            air_c = round(chance.uniform(18, 30), 1)
            return take_reading, order | {"air_c": air_c, "rh_pct": 50.0, "panel_c": 22}
        if what == "mix":
            return self._mix(number, order)
        if what == "stand":
            return place_car, order | {"place": chance.choice(self.places)}
        to = chance.choice([Stage.INSPECTION, Stage.INSTALL])
        return advance_stage, order | {"to": to}

    def _mix(self, number: int, order: dict[str, Any]) -> tuple[Any, dict[str, Any]]:
        """Rinse one's own vessel, or fill it by a sheet made just now."""
        vessel = Vessel.objects.get(pk=self.vessels[number].pk)
        if vessel.state != Vessel.State.CLEAN:
            return empty_vessels, {"vessels": [vessel]}
        facts = {**order, "kind": "tack", "vessels": [vessel]}
        answer = self.press(self.people[number], make_sheet, **facts)
        row = OrderSheet.objects.get(pk=answer["pk"])
        (solution,) = sheet_of(row.facts).solutions
        poured = [[pour.amount.value for pour in f.pours] for f in solution.fills]
        known = {"version": row.version, "kind": "tack", "poured": poured}
        return record_mix, order | known

    # -- what must be true afterwards -----------------------------------------------

    def wrongs(self, done: list[str]) -> tuple[int, int]:
        """Presses without their effect, and effects without their press."""
        kept = set(Submission.objects.values_list("key", flat=True))
        lost = len(set(done) - kept)
        # A reading also keeps its sheet: two events of one press, of two kinds.
        effects = Counter(
            WorkOrderEvent.objects.values_list("submission_key", "workorder", "what")
        )
        events = {key for key, _order, _what in effects}
        silent = {"vessel.empty", "mix.plan"}
        told = Submission.objects.filter(key__in=done).exclude(action__in=silent)
        lost += sum(key not in events for key in told.values_list("key", flat=True))
        pressed = set(done)
        doubled = sum(n > 1 for (key, *_), n in effects.items() if key in pressed)
        readings = Submission.objects.filter(action="reading.take").count()
        apart = OrderReading.objects.count() - readings
        lost, doubled = lost + max(0, -apart), doubled + max(0, apart)
        again = ChecklistAnswer.objects.values("order_checklist", "item").annotate(
            count=Count("pk")
        )
        doubled += again.filter(count__gt=1).count()
        full = Fill.objects.filter(emptied_at=None).values("vessel")
        doubled += full.annotate(count=Count("pk")).filter(count__gt=1).count()
        drum = StockContainer.objects.annotate(moved=Sum("movements__change_ml")).get()
        return lost + (abs(drum.left_ml - drum.moved) > ANY), doubled


def person(
    shop: Shop, number: int, *, presses: int, seed: int, gate: threading.Barrier
) -> Heard:
    """One person's presses, one after another."""
    heard, chance = Heard(), random.Random(seed)  # noqa: S311 - not a secret
    gate.wait()
    for n in range(presses):
        try:
            act, facts = shop.choose(number, chance)
        except Exception as error:
            note(error, heard)
            continue
        finally:
            connections.close_all()
        key = uuid4().hex
        send = [lambda: shop.press(shop.people[number], act, key=key, **facts)]  # noqa: B023
        one_press(send * (2 if n % TWICE == TWICE - 1 else 1), key, heard)
    return heard


def one_press(sent: list[Callable[[], Any]], key: str, heard: Heard) -> None:
    """Send it, once or twice at the same moment, and note what comes back."""
    begun = time.perf_counter()
    with ThreadPoolExecutor(len(sent)) as pool:
        answers = [pool.submit(send) for send in sent]
    heard.ms.append((time.perf_counter() - begun) * 1000)
    firsts = 0
    for answer in answers:
        try:
            firsts += not answer.result().repeated
        except Exception as error:
            note(error, heard)
    if firsts:
        heard.done.append(key)
        heard.first_answers += firsts


def note(error: Exception, heard: Heard) -> None:
    """A refusal is an answer; anything else is a fault."""
    if isinstance(error, Refused):
        heard.refused[str(error)] += 1
    else:
        heard.errors.append(repr(error))


def run(shop: Shop, *, presses: int, seed: int) -> tuple[list[Heard], float]:
    """All sixteen at once; what they heard, and the seconds it took."""
    gate = threading.Barrier(THREADS)
    begun = time.perf_counter()
    with ThreadPoolExecutor(THREADS) as pool:
        asked = [
            pool.submit(
                person, shop, n, presses=presses, seed=seed * THREADS + n, gate=gate
            )
            for n in range(THREADS)
        ]
        heard = [each.result() for each in asked]
    return heard, time.perf_counter() - begun


def judge(shop: Shop, heard: list[Heard], seconds: float, before: int) -> int:
    """Print the run; how much went wrong."""
    done = [key for each in heard for key in each.done]
    ms = sorted(ms for each in heard for ms in each.ms)
    errors = [error for each in heard for error in each.errors]
    refused = sum(sum(each.refused.values()) for each in heard)
    lost, doubled = shop.wrongs(done)
    doubled += sum(each.first_answers for each in heard) - len(done)
    moved = Revision.objects.get().number - Submission.objects.count() - before
    lost, doubled = lost + max(0, -moved), doubled + max(0, moved)
    print(
        f"{len(done)} writes in {seconds:.1f} s: {len(done) / seconds:.0f} writes/s, "
        f"p50 {statistics.median(ms):.0f} ms, p99 {ms[int(len(ms) * 0.99)]:.0f} ms, "
        f"worst {ms[-1]:.0f} ms; {refused} refused, {len(errors)} errors, "
        f"{lost} lost, {doubled} doubled"
    )
    for error, count in Counter(errors).most_common(5):
        print(f"  {count} x {error[:300]}")
    return len(errors) + lost + doubled


def main() -> None:
    """Measure, print, judge."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--postgres", action="store_true")
    parser.add_argument("--presses", type=int, default=60)
    parser.add_argument("--runs", type=int, default=3)
    asked = parser.parse_args()
    shop = Shop()
    load = " ".join(f"{part:.1f}" for part in os.getloadavg())
    print(f"{platform.machine()}, {os.cpu_count()} cores, load {load}, {STORE}")
    print(f"{THREADS} threads, {CARS} cars, {asked.presses} presses each")
    before = Revision.objects.get().number - Submission.objects.count()
    wrong = 0
    for n in range(asked.runs):
        heard, seconds = run(shop, presses=asked.presses, seed=n)
        print(f"run {n + 1}: ", end="")
        wrong += judge(shop, heard, seconds, before)
    connections.close_all()
    if connection.vendor == "postgresql":
        connection.close_pool()
    if wrong:
        sys.exit(f"FAIL: {wrong} errors, lost or doubled")


if __name__ == "__main__":
    main()
