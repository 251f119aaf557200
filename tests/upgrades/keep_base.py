"""Keep the furnished shop of this release, so that later ones prove they open it.

    python -m tests.upgrades.keep_base NAME [again]

Run once in the checkout of a release (for the first one, this folder was copied
there). It makes the demo shop, furnishes it, presses the buttons that leave its
pages open to the walk, issues its papers, and writes beside this file:

    kept/NAME.tar.xz        the SQLite base and the media folder
    kept/NAME.sql.xz        `pg_dump --inserts` of the same shop on a PostgreSQL
    kept/NAME.json          the moment it was made and its facts (`facts.py`)
    golden/NAME/*.json      stored documents of each kind, as they lie in the base

`again` opens the packed base instead of making one, in the same checkout: for more
facts, or another dump.
"""

from __future__ import annotations

import json
import lzma
import os
import re
import shutil
import subprocess
import sys
import tarfile
import tempfile
from contextlib import suppress
from pathlib import Path
from typing import Any

import django
from django.conf import settings

HERE = Path(__file__).parent
FOLDER = Path(tempfile.mkdtemp(prefix="keep-"))
PG_BIN = sorted(Path("/usr/lib/postgresql").glob("*/bin"))


def main(name: str, again: str = "") -> None:
    """Make it, or open it again; then write what is told of it."""
    from tests.stores import running_postgres

    made_at = ""
    if again:
        made_at = json.loads((HERE / "kept" / f"{name}.json").read_text())["made_at"]
        _unpack(name)
    else:
        _make()
    _write_facts(name, made_at)
    _write_golden(name)
    rows = FOLDER / "rows.xml"
    _dump_rows(rows)
    if not again:
        _pack(name)
    initdb, pg_ctl = (str(PG_BIN[-1] / each) for each in ("initdb", "pg_ctl"))
    with running_postgres(initdb=initdb, pg_ctl=pg_ctl) as url:
        environment = {**os.environ, "DATABASE_URL": url, "SHOP_DATA": str(FOLDER)}
        code = "from tests.upgrades.keep_base import load; load({!r}, {!r})"
        subprocess.run(
            [sys.executable, "-c", code.format(str(rows), name)],
            env=environment,
            check=True,
        )
        dump = [str(PG_BIN[-1] / "pg_dump"), "--inserts", "--no-owner"]
        sql = subprocess.run(
            [*dump, "--no-privileges", url], check=True, capture_output=True, text=True
        ).stdout
    # What is for psql alone goes: the dump is read over a plain connection.
    plain = re.sub(r"^\\.*\n", "", sql, flags=re.M).encode()
    (HERE / "kept" / f"{name}.sql.xz").write_bytes(lzma.compress(plain, preset=9))
    shutil.rmtree(FOLDER)


def _open() -> None:
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "shopapp.settings")
    os.environ.setdefault("SHOP_DATA", str(FOLDER))
    django.setup()
    settings.BACKGROUND_BELL = "tests.makers.no_bell"
    settings.ALLOWED_HOSTS = ["*"]
    settings.PASSWORD_HASHERS = ["tests.makers.QuickHasher"]


def _make() -> None:
    from django.core.management import call_command
    from django.db import connection

    _open()
    from tests import furnished, makers

    call_command("migrate", verbosity=0)
    call_command("defaults")
    call_command("demo", password=makers.PASSWORD)
    furnished.furnish()
    _press_what_stays_open()
    _papers()
    # Who was signed in is nobody's business.
    with connection.cursor() as cursor:
        cursor.execute("DELETE FROM django_session")
        cursor.execute("VACUUM")
        cursor.execute("PRAGMA wal_checkpoint(TRUNCATE)")


NOT_PRESSED = {"shopapp:own_change", "jobs:link_revoke"}
NOT_PRESSED |= {"jobs:rules_enforce", "jobs:rules_change"}
NOT_PRESSED |= {"mixing:vessels_empty", "mixing:vessel_retire", "jobs:handover_give"}
"""They would close the walk: a password, a link, rules that stop, other rows."""


def _press_what_stays_open() -> None:
    """Each button of the shop, where every page can be walked to afterwards."""
    from django.db import transaction
    from django.urls import reverse

    from tests import addresses, presses, test_double_posts
    from tests.furnished import Furnished

    shop = Furnished()
    done = []
    for route in test_double_posts.ACTIONS:
        if route.name in NOT_PRESSED:
            continue
        # What another press before it used up is not pressed any more.
        with suppress(Exception), transaction.atomic():
            wanted = presses.PRESSES[route.name](shop)
            url = reverse(route.name, kwargs=wanted.args)
            client = test_double_posts.client_of(route, shop.mara)
            data = test_double_posts.filled_in(client, wanted, url)
            data["key"] = f"kept-{route.name}"
            answer = test_double_posts.send(client, url, data)
            assert answer.status_code in {200, 303}
            for other in addresses.ROUTES:
                if "GET" in other.methods:
                    addresses.known_for(other, shop)
            done.append(route.name)
    sys.stdout.write(f"pressed: {', '.join(done)}\n")
    _move_against_a_rule(shop)


def _move_against_a_rule(shop: Any) -> None:
    """Take a car in and move it with a reason against each rule that speaks."""
    from django.utils import timezone

    from jobs.bookings.arrival_actions import take_in_car
    from jobs.models import WorkOrder
    from jobs.rules.actions import change_rules, enforce_rules
    from jobs.rules.table import RULES, is_hard
    from jobs.workorders.actions import advance_stage
    from jobs.workorders.queries import ways_on
    from tests.furnished import do

    taken = do(shop.mara, take_in_car, booking_pk=shop.bookings[-1].pk)
    order = WorkOrder.objects.get(pk=taken["pk"])
    do(shop.mara, enforce_rules)
    way = ways_on(order, now=timezone.now())[0]
    reasons = {str(c.rule): "the customer waits at the door" for c in way.concerns}
    do(shop.mara, advance_stage, workorder_pk=order.pk, to=way.to, reasons=reasons)
    soft = {str(rule): "advice" for rule in RULES if not is_hard(rule)}
    do(shop.mara, change_rules, levels={**soft, "film_reserved": "reason"})


def _papers() -> None:
    """Issue one of each kind, and all that waits but one."""
    from jobs.models import Paper
    from jobs.papers.actions import issue_label, issue_paper, issue_register
    from jobs.tasks import issue_paper as render
    from mixing.models import Fill
    from shopapp.models import BackgroundTask
    from tests.furnished import Furnished, do

    shop = Furnished()
    for order, kinds in {
        shop.install: ("work_order", "mixing_sheet", "cut_list"),
        shop.redo: ("work_order", "mixing_sheet", "cut_list"),
        shop.inspection: ("work_order", "mixing_sheet"),
        shop.closed[0]: ("work_order", "care"),
    }.items():
        for kind in kinds:
            do(shop.mara, issue_paper, workorder_pk=order.pk, kind=kind)
    fill = Fill.objects.filter(emptied_at=None).order_by("-pk")[0]
    vessel, offcut = shop.clean_vessel, shop.offcuts[0]
    for subject in (f"fill {fill.pk}", f"vessel {vessel.pk}", f"offcut {offcut.pk}"):
        do(shop.mara, issue_label, subject=subject)
    do(shop.mara, issue_register)
    waiting = list(Paper.objects.filter(state=Paper.State.ASKED).order_by("pk"))
    later = do(shop.mara, issue_paper, workorder_pk=shop.prep.pk, kind="work_order")
    for paper in waiting:
        task = BackgroundTask.objects.filter(
            subject=f"paper {paper.pk}", state="waiting"
        ).first()
        if task and paper.pk != later["pk"]:
            render(task.pk)


def _write_facts(name: str, made_at: str) -> None:
    from django.utils import timezone

    from tests.upgrades.facts import told

    (HERE / "kept").mkdir(exist_ok=True)
    made_at = made_at or timezone.now().isoformat()
    note = {"made_at": made_at, "pages": _pages(), "facts": told()}
    text = json.dumps(note, indent=1, ensure_ascii=False)
    (HERE / "kept" / f"{name}.json").write_text(text + "\n")


def _pages() -> list[str]:
    """Names of the pages that the rows of this base lead to."""
    from tests import addresses
    from tests.furnished import Furnished

    shop, found = Furnished(), []
    for route in addresses.ROUTES:
        if "GET" in route.methods:
            addresses.known_for(route, shop)
            found.append(route.name)
    return sorted(found)


def _write_golden(name: str) -> None:
    from tests.upgrades.documents import stored_documents

    folder = HERE / "golden" / name
    folder.mkdir(parents=True, exist_ok=True)
    for document, stored in stored_documents().items():
        text = json.dumps(stored, ensure_ascii=False)
        (folder / f"{document}.json").write_text(text + "\n")


LEFT_OUT = ("contenttypes", "auth.permission", "sessions", "admin")


def _dump_rows(rows: Path) -> None:
    from django.apps import apps
    from django.core.management import call_command

    out = [
        n for n in LEFT_OUT if apps.is_installed(f"django.contrib.{n.split('.')[0]}")
    ]
    # XML, since JSON would cut the moments to milliseconds.
    call_command("dumpdata", format="xml", exclude=out, output=str(rows), verbosity=0)


def load(rows: str, name: str) -> None:
    """Fill the PostgreSQL that DATABASE_URL names with the rows; the facts agree."""
    from django.core.management import call_command

    _open()
    from tests.upgrades.facts import told

    call_command("migrate", verbosity=0)
    call_command("loaddata", rows, verbosity=0)
    kept = json.loads((HERE / "kept" / f"{name}.json").read_text())["facts"]
    found = told()
    wrong: list[Any] = [fact for fact in kept if kept[fact] != found[fact]]
    assert not wrong, [(fact, kept[fact], found[fact]) for fact in wrong[:2]]


def _unpack(name: str) -> None:
    with tarfile.open(HERE / "kept" / f"{name}.tar.xz") as pack:
        pack.extractall(FOLDER, filter="data")
    _open()


def _pack(name: str) -> None:
    from django.db import connection

    connection.close()
    media = Path(settings.MEDIA_ROOT)
    with tarfile.open(HERE / "kept" / f"{name}.tar.xz", "w:xz", preset=9) as pack:
        pack.add(FOLDER / "shop.sqlite3", "shop.sqlite3")
        pack.add(media, "media")


if __name__ == "__main__":
    main(*sys.argv[1:])
