"""The drill of README: a shop is lost, its backup opens on an empty account.

On the store of this run; server, worker and commands are real processes.
"""

from __future__ import annotations

import contextlib
import hashlib
import http.client
import os
import re
import ssl
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import timedelta
from pathlib import Path
from typing import Any
from urllib.parse import urlencode

import pytest
from django.conf import settings
from django.core.management import call_command
from django.db import connection
from django.test import Client
from django.utils import timezone
from django.utils.module_loading import import_string

from jobs.models import CustomerLink, Paper, WorkOrder
from jobs.public.link_queries import hash_of
from shopapp import certificates, machine
from shopapp import settings as shop_settings
from shopapp.backups import making, stores
from shopapp.models import Person
from tests.conftest import free_port, needs, wait_until
from tests.furnished import over
from tests.upgrades import kept
from tests.upgrades.facts import told

pytestmark = pytest.mark.postgres
ROOT = Path(__file__).parents[2]
PASSWORD, TOKEN = "a long enough password", "token-of-the-drill"


@dataclass(frozen=True, kw_only=True)
class Lost:
    """What was noted of the shop before it was lost.

    trust    the certificate that the tablets have
    cookie   of a browser that was signed in
    papers   hash of each issued paper
    """

    backup: Path
    facts: dict[str, Any]
    trust: bytes
    cookie: str
    papers: list[str]


@pytest.fixture(scope="module")
def lost(tmp_path_factory, django_db_setup, django_db_blocker) -> Lost:
    """A shop with weeks of history, backed up, and gone."""
    data, shelf = tmp_path_factory.mktemp("lost"), tmp_path_factory.mktemp("shelf")
    with (
        django_db_blocker.unblock(),
        pytest.MonkeyPatch.context() as patch,
        kept.opened(kept.RELEASES[-1], data),
    ):
        patch.setattr(settings, "SHOP_DATA", data)
        patch.setattr(settings, "MEDIA_ROOT", data / "media")
        call_command("migrate", verbosity=0)
        (data / "secret_key").write_text(settings.SECRET_KEY)
        certificates.server_certificate(machine.own_names())
        # As the shop hashes it, and not as the tests do.
        hasher = import_string(shop_settings.PASSWORD_HASHERS[0])()
        secret = hasher.encode(PASSWORD, hasher.salt())
        Person.objects.filter(username="alva").update(password=secret)
        order = WorkOrder.objects.order_by("pk")[0]
        ends = timezone.now() + timedelta(days=1)
        given = {"workorder": order, "expires_at": ends}
        CustomerLink.objects.create(token_hash=hash_of(TOKEN), **given)
        browser = Client()
        browser.force_login(Person.objects.get(username="alva"))
        papers = Paper.objects.exclude(file=None).order_by("pk")
        return Lost(
            facts=told(),
            trust=certificates.authority_path().read_bytes(),
            cookie=browser.cookies[settings.SESSION_COOKIE_NAME].value,
            papers=list(papers.values_list("file__sha256", flat=True)),
            backup=making.make(shelf).folder,
        )


@contextmanager
def _empty_account(home: Path) -> Iterator[dict[str, str]]:
    """The environment of somebody who has nothing but an empty place."""
    data = home / "d"
    own = {"HOME": str(home), "PATH": os.environ["PATH"], "SHOP_DATA": str(data)}
    own |= {"LOG_LEVEL": "WARNING", "LANG": "C.UTF-8"}
    if connection.vendor == "sqlite":
        with over(data / "shop.sqlite3"):
            yield own
        return
    known = connection.settings_dict["NAME"]
    with stores.spare_base() as name:
        host = str(connection.settings_dict["HOST"]).replace("/", "%2F")
        user = connection.settings_dict["USER"]
        kept.point_to(name)
        try:
            yield {**own, "DATABASE_URL": f"postgres://{user}@{host}/{name}"}
        finally:
            kept.point_to(known)


@dataclass(frozen=True, kw_only=True)
class Found:
    """The shop where it came back: what was said, its facts, and its port."""

    said: str
    facts: dict[str, Any]
    port: int


@pytest.fixture(scope="module")
def found(lost: Lost, tmp_path_factory, django_db_blocker) -> Iterator[Found]:
    """The shop, brought back into an empty account and opened for its tablets."""
    needs("redis-server")
    home = tmp_path_factory.mktemp("h")
    with django_db_blocker.unblock(), _empty_account(home) as own:
        command = [sys.executable, "manage.py", "restore", str(lost.backup)]
        done = subprocess.run(
            command, cwd=ROOT, env=own, capture_output=True, text=True, check=False
        )
        assert done.returncode == 0, done.stderr
        facts, port = told(), free_port()
        connection.close()
        with _served(own, home / "out", port):
            yield Found(said=done.stdout, facts=facts, port=port)


@contextmanager
def _served(own: dict[str, str], out: Path, port: int) -> Iterator[None]:
    """`manage.py serve --lan`, until it says that it is open."""
    command = [sys.executable, "manage.py", "serve", "--lan", "--port", str(port)]
    with out.open("wb") as to:
        served = subprocess.Popen(command, cwd=ROOT, env=own, stdout=to, stderr=to)
    try:

        def opened():
            assert served.poll() is None, out.read_text()
            return "Stop it with Ctrl-C" in out.read_text()

        wait_until(opened, within_s=120)
        yield
    finally:
        served.terminate()
        with contextlib.suppress(subprocess.TimeoutExpired):
            served.wait(15)
        served.kill()


@dataclass
class Tablet:
    """A tablet that trusts the lost shop's certificate, and nobody else."""

    lost: Lost
    port: int

    def asks(self, path: str, *, cookie: str = "", typed: dict[str, str] | None = None):
        """Status, headers and bytes of an answer."""
        trust = ssl.create_default_context(cadata=self.lost.trust.decode())
        line = http.client.HTTPSConnection("localhost", self.port, context=trust)
        headers = {"Cookie": cookie, "Referer": f"https://localhost:{self.port}/"}
        if typed is not None:
            headers["Content-Type"] = "application/x-www-form-urlencoded"
        body = urlencode(typed) if typed is not None else None
        with contextlib.closing(line):
            line.request("POST" if body else "GET", path, body, headers)
            answer = line.getresponse()
            return answer.status, answer.headers, answer.read()


@pytest.fixture
def tablet(lost: Lost, found: Found) -> Tablet:
    return Tablet(lost, found.port)


def test_the_tablet_trusts_the_shop_as_before(tablet: Tablet):
    status, _headers, given = tablet.asks("/trust/shop-ca.crt")
    assert (status, given) == (200, tablet.lost.trust)


def test_who_was_signed_in_still_is(tablet: Tablet):
    status, *_ = tablet.asks("/floor/", cookie=f"sessionid={tablet.lost.cookie}")
    assert status == 200


def test_a_person_signs_in_by_the_old_password(tablet: Tablet):
    _status, headers, page = tablet.asks("/sign-in/")
    cookies = [each.split(";")[0] for each in headers.get_all("Set-Cookie")]
    hidden = re.search(rb'csrfmiddlewaretoken" value="(\w+)"', page)
    assert hidden
    typed = {"csrfmiddlewaretoken": hidden[1].decode()}
    typed |= {"username": "alva", "password": PASSWORD}
    status, headers, _ = tablet.asks(
        "/sign-in/", cookie="; ".join(cookies), typed=typed
    )
    assert status == 302
    assert "sessionid=" in str(headers)


def test_the_customers_link_opens_the_car(tablet: Tablet):
    status, _headers, page = tablet.asks(f"/c/{TOKEN}/")
    assert status == 200
    assert b"<h1" in page


def test_every_issued_paper_has_its_bytes(tablet: Tablet):
    cookie = f"sessionid={tablet.lost.cookie}"
    wrong = []
    for sha256 in tablet.lost.papers:
        status, _headers, paper = tablet.asks(f"/files/{sha256}/", cookie=cookie)
        if status != 200 or hashlib.sha256(paper).hexdigest() != sha256:
            wrong.append((sha256, status))
    assert len(tablet.lost.papers) >= 10
    assert wrong == []


def test_thirty_facts_and_more_are_told_as_before(lost: Lost, found: Found):
    assert len(lost.facts) >= 30
    assert [name for name in lost.facts if found.facts[name] != lost.facts[name]] == []


def test_it_was_said_that_keys_and_certificate_are_back(found: Found):
    assert "The secret key is back" in found.said
    assert "The certificate is back" in found.said
