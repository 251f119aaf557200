"""`manage.py serve` as a process: it opens, brings back what dies, and closes."""

from __future__ import annotations

import contextlib
import os
import re
import signal
import socket
import ssl
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from urllib.request import urlopen

import pytest
from django.core.management import CommandError, call_command

from shopapp import certificates, machine
from tests.conftest import free_port, needs, wait_until

ROOT = Path(__file__).parents[2]
ROLES = ("redis-server", "--queues papers", "--queues solvers", " beat ", "uvicorn")


@pytest.fixture(scope="module")
def shop(tmp_path_factory):
    """A shop that is open, its port and what it has printed so far."""
    if not Path("/proc/self/stat").exists():
        pytest.skip("looks for children in /proc")
    needs("redis-server")
    port, out = free_port(), tmp_path_factory.mktemp("serve") / "out"
    with (
        tempfile.TemporaryDirectory(prefix="shop-serve-") as data,
        out.open("wb") as to,
    ):
        ours = {"SHOP_DATA": data, "LOG_LEVEL": "WARNING"}
        gone = {"DATABASE_URL", "REDIS_URL", "SECRET_KEY"}
        process = subprocess.Popen(
            [sys.executable, "manage.py", "serve", "--empty", "--port", str(port)],
            cwd=ROOT,
            env={k: v for k, v in os.environ.items() if k not in gone} | ours,
            stdout=to,
            stderr=subprocess.STDOUT,
            stdin=subprocess.DEVNULL,
        )

        def opened():
            assert process.poll() is None, out.read_text()
            return "Stop it with Ctrl-C" in out.read_text()

        try:
            wait_until(opened, within_s=120)
            yield process, port, out, Path(data)
        finally:
            process.kill()
            process.wait()


def children(parent: int) -> dict[str, int]:
    """The shop's processes by role (proc(5): the fourth field is the parent)."""
    found = {}
    for process in Path("/proc").glob("[0-9]*"):
        with contextlib.suppress(OSError):
            stat = (process / "stat").read_text()
            if int(stat.rpartition(")")[2].split()[1]) != parent:
                continue
            line = (process / "cmdline").read_bytes().replace(b"\0", b" ").decode()
            found |= {role: int(process.name) for role in ROLES if role in f" {line} "}
    return found


def test_it_prints_where_it_is_and_the_code_for_its_first_manager(shop):
    _process, port, out, _data = shop
    printed = out.read_text()
    assert f"The shop is open: http://localhost:{port}" in printed
    assert re.search(r"asks for this code too: [0-9a-f]{8}\n", printed)


def test_it_is_ready_when_it_says_so(shop):
    _process, port, _out, _data = shop
    with urlopen(f"http://127.0.0.1:{port}/readyz") as answer:
        assert answer.status == 200
    with urlopen(f"http://127.0.0.1:{port}/sign-in/") as answer:
        assert "script-src 'self'" in answer.headers["Content-Security-Policy"]


def test_it_answers_on_this_machine_only(shop):
    _process, port, _out, _data = shop
    listening = Path("/proc/net/tcp").read_text().splitlines()
    # proc_net_tcp(5): local address in hexadecimal, 0A is LISTEN.
    ours = [line.split()[1] for line in listening if f":{port:04X} " in line]
    assert ours
    assert {address.split(":")[0] for address in ours} == {"0100007F"}


@pytest.mark.parametrize("name", ["secret_key", "shop.sqlite3", "redis"])
def test_the_data_are_readable_by_their_owner_only(shop, name):
    *_, data = shop
    assert (data / name).stat().st_mode & 0o077 == 0


def test_a_second_shop_on_the_same_data_is_refused(shop):
    *_, data = shop
    second = subprocess.run(
        [sys.executable, "manage.py", "serve", "--port", str(free_port())],
        cwd=ROOT,
        env={**os.environ, "SHOP_DATA": str(data)},
        capture_output=True,
        text=True,
        check=False,
    )
    assert second.returncode == 1
    assert "Another shop is open on this data folder" in second.stderr


def test_every_child_that_is_killed_comes_back(shop):
    process, port, _out, _data = shop
    before = wait_until(lambda: _all_roles(process.pid), within_s=30)
    for pid in before.values():
        os.kill(pid, signal.SIGKILL)

    def back():
        now = _all_roles(process.pid)
        return now if now and not set(now.values()) & set(before.values()) else None

    wait_until(back, within_s=60)

    def ready():
        with contextlib.suppress(OSError):
            return urlopen(f"http://127.0.0.1:{port}/readyz").status == 200
        return False

    wait_until(ready, within_s=60)


def _all_roles(pid: int) -> dict[str, int] | None:
    found = children(pid)
    return found if len(found) == len(ROLES) else None


def test_it_stops_when_told_and_leaves_nobody_behind(shop):
    process, _port, out, _data = shop
    left = children(process.pid)
    begun = time.monotonic()
    process.terminate()
    assert process.wait(20) == 0
    assert time.monotonic() - begun < 10
    assert "The shop is closed." in out.read_text()
    assert not [pid for pid in left.values() if Path(f"/proc/{pid}").exists()]


def test_a_missing_library_is_named_with_the_line_that_brings_it(monkeypatch):
    monkeypatch.setitem(machine.PANGO, "libabsent.so.9", "libpango-1.0-0")
    with pytest.raises(CommandError) as refused:
        call_command("serve")
    assert "apt-get install -yq --no-install-recommends libpango-1.0-0" in str(
        refused.value
    )


def test_a_missing_redis_is_named_with_the_line_that_brings_it(monkeypatch):
    monkeypatch.setattr(machine, "redis_program", lambda: None)
    with pytest.raises(
        machine.NotReady, match=r"--no-install-recommends.* redis-server"
    ):
        machine.check()


def test_a_machine_without_a_font_is_told_before_it_prints(monkeypatch):
    monkeypatch.setattr(machine, "_has_a_font", lambda: False)
    assert machine.FONT in list(machine.missing_packages())


def test_a_path_too_long_for_a_socket_is_told_in_words(settings):
    settings.SHOP_DATA = Path("/tmp") / ("a" * 110)
    settings.REDIS_URL = f"unix://{settings.SHOP_DATA}/redis.sock"
    with pytest.raises(machine.NotReady, match="too long"):
        machine.check()


def test_a_port_in_use_is_told_in_words():
    with socket.socket() as listener:
        listener.bind(("127.0.0.1", 0))
        listener.listen()
        port = listener.getsockname()[1]
        with pytest.raises(machine.NotReady, match=f"Port {port} cannot be used"):
            machine.check_port("127.0.0.1", port)


@pytest.fixture
def certificate(settings, tmp_path):
    settings.SHOP_DATA = tmp_path
    return certificates.server_certificate(["localhost", "192.0.2.7"])


def test_the_keys_of_the_network_are_readable_by_their_owner_only(certificate):
    folder = certificates.authority_path().parent
    assert {path.name for path in folder.iterdir()} == {
        "shop-ca.crt", "shop-ca.key", "server.crt", "server.key"
    }  # fmt: skip
    assert {path.stat().st_mode & 0o777 for path in folder.iterdir()} == {0o600}


def test_a_browser_that_trusts_the_authority_trusts_the_server(certificate):
    trusting = ssl.create_default_context(cafile=certificates.authority_path())
    serving = ssl.create_default_context(ssl.Purpose.CLIENT_AUTH)
    serving.load_cert_chain(*certificate)
    for name in ("localhost", "192.0.2.7"):
        shake_hands(trusting, serving, name)
    with pytest.raises(ssl.SSLCertVerificationError):
        shake_hands(trusting, serving, "192.0.2.8")


def shake_hands(trusting, serving, name: str) -> None:
    """A TLS handshake through memory."""
    there, back = ssl.MemoryBIO(), ssl.MemoryBIO()
    browser = trusting.wrap_bio(back, there, server_hostname=name)
    server = serving.wrap_bio(there, back, server_side=True)
    for _ in range(4):
        for end in (browser, server):
            with contextlib.suppress(ssl.SSLWantReadError):
                end.do_handshake()
    assert browser.getpeercert()


def test_the_authority_stays_when_a_name_is_added(certificate):
    first = certificates.fingerprint()
    kept = certificate[0].read_bytes()
    certificates.server_certificate(["localhost"])
    assert certificate[0].read_bytes() == kept
    certificates.server_certificate(["localhost", "shop.local"])
    assert certificate[0].read_bytes() != kept
    assert certificates.fingerprint() == first


@pytest.mark.django_db
def test_a_tablet_gets_the_authority_and_never_its_key(certificate, client):
    page = client.get("/trust/").content.decode()
    assert certificates.fingerprint() in page
    given = client.get("/trust/shop-ca.crt")
    assert given.content == certificates.authority_path().read_bytes()
    assert b"PRIVATE" not in given.content


@pytest.mark.django_db
def test_without_a_certificate_there_is_none_to_get(client, settings, tmp_path):
    settings.SHOP_DATA = tmp_path
    assert client.get("/trust/shop-ca.crt").status_code == 404
    assert "--lan" in client.get("/trust/").content.decode()
