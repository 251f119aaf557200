"""One data folder for each test process, and real stores started by the tests.

Nothing here touches `.data`: whoever runs the tests may have a shop running.
"""

from __future__ import annotations

import asyncio
import contextlib
import os
import shutil
import socket
import subprocess
import sys
import tempfile
import time
from collections.abc import Coroutine, Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import hypothesis
import pytest
from django.conf import settings
from django.db import connection
from playwright.sync_api import Browser, sync_playwright
from redis import Redis

from shopapp.models import Revision, Shop
from tests import makers
from tests.stores import PLACES, migrated_in, of_this_run, running_postgres

IN_CI = os.environ.get("CI", "").lower() in {"1", "true", "yes"}
# Short, since a socket's path may have 107 signs (unix(7)).
FOLDER = Path(tempfile.mkdtemp(prefix="shop-"))


def _move_into(folder: Path) -> None:
    """Point the settings, which pytest-django has read by now, at this folder."""
    settings.SHOP_DATA = folder
    (folder / "static").mkdir()
    settings.MEDIA_ROOT = folder / "media"
    settings.STATIC_ROOT = folder / "static"
    settings.EMAIL_FILE_PATH = folder / "mail"
    settings.REDIS_URL = f"unix://{folder}/redis.sock"
    settings.CELERY_BROKER_URL = f"redis+socket://{folder}/redis.sock"
    default = settings.DATABASES["default"]
    if default["ENGINE"].endswith("sqlite3"):
        # One name for both, so that a server started by a test sees its rows.
        default["NAME"] = default["TEST"]["NAME"] = folder / "shop.sqlite3"
    # argon2 is slow on purpose; what is tested here is not how slow.
    settings.PASSWORD_HASHERS = ["tests.makers.QuickHasher"]


_move_into(FOLDER)

# How quickly a value is drawn on a busy machine is not what is tested.
hypothesis.settings.register_profile(
    "busy", suppress_health_check=[hypothesis.HealthCheck.too_slow]
)
hypothesis.settings.load_profile("busy")


def pytest_collection_modifyitems(
    config: pytest.Config, items: list[pytest.Item]
) -> None:
    """What PostgreSQL alone can run is not chosen, rather than skipped, on SQLite."""
    if connection.vendor == "sqlite":
        left = [item for item in items if item.get_closest_marker("only_postgres")]
        config.hook.pytest_deselected(items=left)
        items[:] = [item for item in items if item not in left]


def pytest_unconfigure() -> None:
    shutil.rmtree(FOLDER, ignore_errors=True)


def needs(program: str, *places: str) -> str:
    """The path of a program; without it the test is skipped, and in CI it fails."""
    path = shutil.which(program, path=os.pathsep.join([os.environ["PATH"], *places]))
    if path is None:
        absent = f"{program} is not installed"
        pytest.fail(absent) if IN_CI else pytest.skip(absent)
    return path


def wait_until(happened, *, within_s: float = 20, every_s: float = 0.05):
    """The first true answer of `happened`, or a failure after `within_s`."""
    end = time.monotonic() + within_s
    while not (answer := happened()):
        assert time.monotonic() < end, f"not within {within_s} s"
        time.sleep(every_s)
    return answer


@pytest.fixture(scope="session")
def django_db_modify_db_settings(
    request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory
) -> None:
    """A folder each already keeps SQLite processes apart; others need a suffix.

    Migrations run once a test run, not once a process.
    """
    if connection.vendor == "sqlite":
        own = connection.settings_dict["TEST"]["NAME"]
        shutil.copy(migrated_in(of_this_run(tmp_path_factory)), own)
    else:
        request.getfixturevalue("django_db_modify_db_settings_parallel_suffix")


@pytest.fixture(scope="session")
def django_db_keepdb() -> bool:
    """On SQLite the test base is there already: a copy of a migrated one."""
    return bool(connection.vendor == "sqlite")


@pytest.fixture(autouse=True)
def _the_rows(request: pytest.FixtureRequest) -> None:
    """A test with threads empties every table, the rows of the migrations too."""
    if request.node.get_closest_marker("django_db") is None:
        return
    names = request.fixturenames
    request.getfixturevalue("transactional_db" if "transactional_db" in names else "db")
    Shop.objects.get_or_create(pk=1)
    Revision.objects.get_or_create(pk=1)


@pytest.fixture(autouse=True)
def _quiet_bell(monkeypatch: pytest.MonkeyPatch) -> None:
    """No test waits for a Redis that is not there; the bell is tested by itself."""
    monkeypatch.setattr(settings, "BACKGROUND_BELL", "tests.makers.no_bell")


@contextmanager
def running_redis() -> Iterator[str]:
    """A real redis-server of our own, on a socket. Its address."""
    program = needs("redis-server")
    folder = Path(tempfile.mkdtemp(prefix="shop-redis-"))
    path = folder / "redis.sock"
    server = subprocess.Popen(
        [program, "--port", "0", "--unixsocket", path, "--dir", folder]
        + ["--save", "", "--appendonly", "no"],
        stdout=subprocess.DEVNULL,
    )
    try:
        wait_until(path.exists)
        url = f"unix://{path}"
        with Redis.from_url(url) as client:
            wait_until(client.ping)
        yield url
    finally:
        server.terminate()
        server.wait(10)
        shutil.rmtree(folder, ignore_errors=True)


@pytest.fixture(scope="session")
def redis_url() -> Iterator[str]:
    """The Redis of this process's tests and of their `workers`."""
    with running_redis() as url:
        yield url


@pytest.fixture(scope="session")
def postgres_url() -> Iterator[str]:
    """A real PostgreSQL of our own, on a socket; its first test base is made."""
    initdb, pg_ctl = needs("initdb", *PLACES), needs("pg_ctl", *PLACES)
    with running_postgres(initdb=initdb, pg_ctl=pg_ctl) as url:
        yield url


def environment(**more: str) -> dict[str, str]:
    """For a process of the shop that is to see the rows of this test process."""
    own = connection.settings_dict
    found = {name: text for name, text in os.environ.items() if name != "DEBUG"}
    found |= {"SHOP_DATA": str(FOLDER), "SECRET_KEY": settings.SECRET_KEY}
    if connection.vendor != "sqlite":
        host = str(own["HOST"]).replace("/", "%2F")
        found["DATABASE_URL"] = f"postgres://{own['USER']}@{host}/{own['NAME']}"
    return {**found, "LOG_LEVEL": "WARNING", **more}


def in_a_loop(work: Coroutine[Any, Any, Any]) -> None:
    """Run it in a thread of its own: the browser's loop may hold this one."""
    with ThreadPoolExecutor(1) as thread:
        thread.submit(asyncio.run, work).result()


def free_port() -> int:
    """A port of the loopback that nobody uses just now."""
    with socket.socket() as listener:
        listener.bind(("127.0.0.1", 0))
        return int(listener.getsockname()[1])


@contextmanager
def serving(
    *, port: int = 0, **more: str
) -> Iterator[tuple[str, subprocess.Popen[bytes]]]:
    """A real web server on the loopback, over the rows of this process."""
    port = port or free_port()
    server = subprocess.Popen(
        [sys.executable, "-m", "uvicorn", "shopapp.asgi:application"]
        + ["--port", str(port), "--log-level", "warning"]
        + ["--timeout-graceful-shutdown", "2"],
        env=environment(**more),
    )
    try:

        def answers() -> bool:
            assert server.poll() is None, "the web server did not start"
            with contextlib.suppress(OSError):
                socket.create_connection(("127.0.0.1", port), 1).close()
                return True
            return False

        wait_until(answers, within_s=60)
        yield f"http://127.0.0.1:{port}", server
    finally:
        server.terminate()
        server.wait(10)


@pytest.fixture(scope="session")
def web_server(django_db_setup, redis_url: str) -> Iterator[str]:
    """The address of a web server; the test that uses it marks `transaction=True`."""
    with serving(REDIS_URL=redis_url) as (url, _server):
        yield url


@pytest.fixture(scope="session")
def workers(django_db_setup, redis_url: str) -> Iterator[None]:
    """Real workers for both queues, over the rows of this process."""
    celery = [sys.executable, "-m", "celery", "-q", "-A", "shopapp", "worker"]
    running = [
        subprocess.Popen(
            [*celery, "-Q", queue, "-n", f"{queue}@test", "-c", "1", "-l", "WARNING"]
            + ["--without-mingle", "--without-gossip"],
            env=environment(REDIS_URL=redis_url),
        )
        for queue in ("papers", "solvers")
    ]
    yield
    for worker in running:
        worker.terminate()
    for worker in running:
        worker.wait(20)


@pytest.fixture(scope="session")
def chromium() -> Iterator[Browser]:
    """A real Chromium; each test opens contexts of its own in it."""
    # Its loop runs in this thread for the whole session, so Django would refuse
    # every query of a test; no test of ours queries from inside a loop.
    os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"] = "true"
    path = needs("chromium")
    flags = ["--no-sandbox", "--disable-gpu", "--no-first-run", "--disable-sync"]
    flags += ["--disable-background-networking", "--disable-component-update"]
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=path, args=flags)
        yield browser
        browser.close()


@pytest.fixture
def manager():
    """Holds every role, as in a shop of two."""
    return makers.make_person("manager", "desk", "installer", username="mara")


@pytest.fixture
def desk():
    """A desk clerk."""
    return makers.make_person("desk", username="dora")


@pytest.fixture
def installer():
    """An installer, and nothing else."""
    return makers.make_person("installer", username="ivan")


@pytest.fixture
def stranger():
    """Somebody with a login and no role."""
    return makers.make_person(username="stan")
