"""What the shop does not tell: in logs, in caches, to other hosts."""

from __future__ import annotations

import json
import logging
import os
import subprocess
import sys

import pytest

from shopapp import asgi, media
from shopapp.logs import JsonFormatter
from shopapp.management.commands.serve import web
from tests.conftest import in_a_loop
from tests.makers import make_person

SETTINGS = (
    "from shopapp import settings as s; import json;"
    "print(json.dumps([s.PROXIES, s.SECURE_SSL_REDIRECT, s.SECURE_HSTS_SECONDS]))"
)


def read_with(**environment):
    """The settings as another process reads them from its environment."""
    return subprocess.run(
        [sys.executable, "-c", SETTINGS],
        env={**os.environ, **environment},
        capture_output=True,
        text=True,
        check=False,
    )


@pytest.mark.parametrize(
    "said",
    [
        "Forbidden: /c/Zm9vYmFyYmF6cXV4MTIz/report/",
        "Not Found: /feeds/Zm9vYmFyYmF6cXV4MTIz.ics",
        "GET /live/?ticket=Zm9vYmFyYmF6cXV4MTIz:1a:b2",
    ],
)
def test_no_secret_address_is_written_to_the_log(said):
    record = logging.LogRecord("django", logging.WARNING, "", 0, said, None, None)
    line = JsonFormatter().format(record)
    assert "Zm9v" not in line
    assert json.loads(line)["message"].startswith(said.split("Zm9v")[0] + "...")


def test_a_secret_in_a_traceback_is_left_out_too():
    try:
        raise RuntimeError("at /c/Zm9vYmFyYmF6cXV4MTIz/")
    except RuntimeError:
        seen = sys.exc_info()
    record = logging.LogRecord("django", logging.ERROR, "", 0, "broken", None, seen)
    assert "Zm9v" not in JsonFormatter().format(record)


def test_forwarded_addresses_are_believed_of_named_proxies_only(settings):
    settings.PROXIES = []
    assert "--no-proxy-headers" in web(host="h", port=1, names=[]).command
    settings.PROXIES = ["10.1.2.3"]
    command = list(web(host="h", port=1, names=[]).command)
    assert command[command.index("--forwarded-allow-ips") + 1] == "10.1.2.3"
    assert "--no-proxy-headers" not in command


@pytest.mark.parametrize(
    ("said", "named"),
    [
        ("no", []),
        ("yes", ["127.0.0.1", "::1"]),
        ("10.1.2.3, 10.2.0.0/16", ["10.1.2.3", "10.2.0.0/16"]),
    ],
)
def test_a_proxy_is_named_by_its_address(said, named):
    assert json.loads(read_with(BEHIND_PROXY=said).stdout)[0] == named


def test_a_proxy_that_is_no_address_stops_the_start_with_a_sentence():
    assert "write yes, no, or the proxy's address" in read_with(BEHIND_PROXY="*").stderr


def test_where_https_is_on_plain_requests_are_led_there_and_browsers_remember():
    assert json.loads(read_with(HTTPS="yes").stdout)[1:] == [True, 30 * 24 * 60 * 60]
    assert json.loads(read_with(HTTPS="no").stdout)[1:] == [False, 0]


@pytest.mark.django_db
def test_with_https_a_page_is_led_there_and_the_watcher_is_not(client, settings):
    settings.SECURE_SSL_REDIRECT = True
    settings.SECURE_HSTS_SECONDS = 60
    assert client.get("/sign-in/")["Location"] == "https://testserver/sign-in/"
    assert client.get("/healthz").status_code == 200
    safe = client.get("/sign-in/", secure=True)
    assert safe["Strict-Transport-Security"] == "max-age=60"


@pytest.mark.django_db
def test_pages_with_names_are_asked_for_again_each_time(client, manager):
    client.force_login(manager)
    assert client.get("/floor/")["Cache-Control"] == "private, no-cache"


@pytest.mark.django_db
def test_a_photo_is_kept_but_asked_for_and_gone_after_signing_out(client, installer):
    stored = media.keep_bytes(b"paper 7", "application/pdf")
    address = f"/files/{stored.sha256}/"
    client.force_login(installer)
    first = client.get(address)
    assert first["Cache-Control"] == "private, no-cache"
    again = client.get(address, headers={"If-None-Match": first["ETag"]})
    assert (again.status_code, again.content) == (304, b"")
    client.logout()
    gone = client.get(address, headers={"If-None-Match": first["ETag"]})
    assert gone.status_code == 302


@pytest.mark.parametrize(
    ("host", "status"), [(b"evil.example", 403), (b"", 403), (b"localhost:8000", None)]
)
def test_the_stream_is_asked_for_under_our_own_name(monkeypatch, host, status):
    sent, passed = [], []

    async def stream(scope, receive, send):
        passed.append(scope)

    async def send(message):
        sent.append(message)

    monkeypatch.setattr(asgi, "live", stream)
    scope = {"type": "http", "path": "/live/", "headers": [(b"host", host)]}
    in_a_loop(asgi.application(scope, None, send))
    assert (sent[0]["status"] if sent else None) == status
    assert bool(passed) == (status is None)


@pytest.mark.django_db
def test_skills_are_for_the_plan_and_the_page_says_so(client, manager):
    client.force_login(manager)
    person = make_person("installer", username="ivan")
    page = client.get(f"/settings/people/{person.pk}/").content.decode()
    assert "The plan gives" in page
    assert "They forbid nothing." in page
