"""`manage.py serve`: everything a shop needs, from one command."""

from __future__ import annotations

import contextlib
import io
import os
import secrets
import shutil
import socket
import sys
from argparse import ArgumentParser
from functools import partial
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management import BaseCommand, CommandError, call_command, get_commands
from django.utils import timezone
from redis import Redis

from shopapp import certificates, first_manager, machine, upgrades
from shopapp.models import Person
from shopapp.supervisor import Child, Supervisor

MOST_CONNECTIONS = 1000
"""Open at once: streams of all screens, and what is being asked."""


class Command(BaseCommand):
    """Opens the shop and keeps it open until it is told to stop."""

    help = "Runs the shop: store, web server, workers and clock, in one command."
    requires_system_checks: list[str] = []

    def add_arguments(self, parser: ArgumentParser) -> None:
        """What may be chosen."""
        parser.add_argument("--port", type=int, default=8000)
        parser.add_argument(
            "--empty", action="store_true", help="a real shop: no demo data"
        )
        parser.add_argument(
            "--lan", action="store_true", help="https for tablets on the network"
        )

    def handle(self, *args: Any, port: int, empty: bool, lan: bool, **_: Any) -> None:
        """Check, lock, migrate, fill, run."""
        host = "0.0.0.0" if lan else "127.0.0.1"  # noqa: S104 - asked for
        try:
            machine.check()
            machine.check_port(host, port)
            with machine.in_words():
                held = machine.lock_data_folder()
            with held:
                with machine.in_words():
                    told = self._prepare(empty=empty)
                self._run(host, port, told, lan=lan)
        except machine.NotReady as reason:
            raise CommandError(str(reason)) from None
        self.stdout.write("The shop is closed.")

    def _prepare(self, *, empty: bool) -> str:
        """The store as this version needs it, and its first people."""
        # Customers' names and phones: nobody else on this machine reads the store.
        os.umask(0o077)
        Path(settings.STATIC_ROOT).mkdir(exist_ok=True)
        machine.check_store()
        self._bring_up_to_date()
        call_command("defaults")
        return self._first_people(empty=empty)

    def _run(self, host: str, port: int, told: str, *, lan: bool) -> None:
        names = machine.own_names() if lan else []
        url = f"https://{names[-1]}:{port}" if lan else f"http://localhost:{port}"
        with machine.in_words():
            started = children(host=host, port=port, names=names)
        Supervisor(
            children=started,
            environment=environment(url=url, names=names),
            tell=self.stderr.write,
            opened=lambda: self._opened(url, told, lan=lan),
        ).run()

    def _bring_up_to_date(self) -> None:
        try:
            upgrades.upgrade(tell=self.stdout.write)
        except upgrades.NotUpgraded as reason:
            raise CommandError(str(reason)) from reason

    def _first_people(self, *, empty: bool) -> str:
        if Person.objects.exists():
            return ""
        if empty:
            return self._first_manager()
        if "demo" not in get_commands():
            return "There is no demo shop yet: start with --empty."
        self.stdout.write("Making the demo shop.")
        out = io.StringIO()
        call_command("demo", stdout=out)
        return out.getvalue()

    def _first_manager(self) -> str:
        """From the environment; else by the first who opens the shop's page."""
        name = os.environ.get("SHOP_MANAGER_NAME", "")
        password = os.environ.get("SHOP_MANAGER_PASSWORD", "")
        if name and password:
            person = Person(
                username=name,
                first_name=name.capitalize(),
                is_desk=True,
                is_installer=True,
                is_manager=True,
                can_prep=True,
                can_install=True,
                can_inspect=True,
            )
            person.set_password(password)
            person.save()
            return ""
        code = os.environ[first_manager.CODE] = secrets.token_hex(4)
        return (
            "Open it in a browser on this machine: the first page asks for your name\n"
            f"and a password. From another machine it asks for this code too: {code}"
        )

    def _opened(self, url: str, told: str, *, lan: bool) -> None:
        self.stdout.write(f"\nThe shop is open: {url}")
        if told:
            self.stdout.write(told)
        if lan:
            self.stdout.write(
                f"On each tablet, open {url}/trust/ once and follow the page.\n"
                f"Its number must be {certificates.fingerprint()}"
            )
        self.stdout.write("Stop it with Ctrl-C.")
        self.stdout.flush()


def environment(*, url: str, names: list[str]) -> dict[str, str]:
    """What the children are told beside our own environment."""
    known = {"DJANGO_SETTINGS_MODULE": "shopapp.settings", "PUBLIC_URL": url}
    known |= {"SHOP_DATA": str(settings.SHOP_DATA)}
    # Else glibc keeps what a password took once in each thread's own heap (mallopt(3)).
    known |= {"MALLOC_ARENA_MAX": "2"}
    if names:
        known |= {"HTTPS": "yes", "ALLOWED_HOSTS": ",".join(names)}
    return {**known, **os.environ} if not names else {**os.environ, **known}


def children(*, host: str, port: int, names: list[str]) -> list[Child]:
    """Redis first, since the others lean on it; the web server last."""
    celery = [sys.executable, "-m", "celery", "-q", "-A", "shopapp"]
    quiet = ["--loglevel", "WARNING"]
    schedule = str(Path(settings.SHOP_DATA) / "beat-schedule")
    beat = [*celery, "beat", *quiet, "--schedule", schedule, "--pidfile="]
    return [
        *redis_children(),
        *(worker(celery, queue, quiet) for queue in ("papers", "solvers")),
        Child(name="the clock", command=beat),
        web(host=host, port=port, names=names),
    ]


def redis_children() -> list[Child]:
    """A private Redis on a socket, unless REDIS_URL names one."""
    if not machine.has_own_redis():
        return []
    folder = Path(settings.SHOP_DATA) / "redis"
    folder.mkdir(mode=0o700, exist_ok=True)
    command = [machine.redis_program() or "redis-server", "--port", "0"]
    command += ["--unixsocket", str(machine.redis_socket()), "--unixsocketperm", "700"]
    command += ["--dir", str(folder), "--appendonly", "yes", "--save", ""]
    command += ["--logfile", str(folder / "redis.log"), "--daemonize", "no"]
    mend = partial(set_aside, folder)
    return [Child(name="redis-server", command=command, ready=redis_answers, mend=mend)]


def set_aside(folder: Path) -> str:
    """Begin with an empty Redis where it could not read what it had kept."""
    if not (folder / "appendonlydir").exists():
        return ""
    for older in folder.parent.glob(f"{folder.name}-damaged-*"):
        shutil.rmtree(older, ignore_errors=True)
    aside = folder.with_name(f"{folder.name}-damaged-{timezone.now():%Y%m%d-%H%M%S}")
    folder.rename(aside)
    folder.mkdir(mode=0o700)
    return (
        f"What redis-server had kept is damaged and was set aside in {aside}. It held "
        "only the bells of waiting work, which ring again by themselves."
    )


def redis_answers() -> bool:
    """True when Redis has read its file and takes orders."""
    with contextlib.suppress(Exception), Redis.from_url(settings.REDIS_URL) as client:
        return bool(client.ping())
    return False


def worker(celery: list[str], queue: str, quiet: list[str]) -> Child:
    """One worker process for a queue."""
    command = [*celery, "worker", *quiet, "--queues", queue, "--concurrency", "1"]
    command += ["--hostname", f"{queue}@%h", "--without-mingle", "--without-gossip"]
    return Child(name=f"the worker for {queue}", command=command)


def web(*, host: str, port: int, names: list[str]) -> Child:
    """The web server; with names, under a certificate for them."""
    command = [sys.executable, "-m", "uvicorn", "shopapp.asgi:application"]
    command += ["--host", host, "--port", str(port), "--log-level", "warning"]
    command += ["--timeout-graceful-shutdown", "2", "--no-server-header"]
    command += ["--http", "shopapp.half_open:Protocol"]
    command += ["--limit-concurrency", str(MOST_CONNECTIONS)]
    # An address that a visitor wrote into a header is not believed.
    if settings.PROXIES:
        command += ["--forwarded-allow-ips", ",".join(settings.PROXIES)]
    else:
        command += ["--no-proxy-headers"]
    if names:
        certificate, key = certificates.server_certificate(names)
        command += ["--ssl-certfile", str(certificate), "--ssl-keyfile", str(key)]

    def answers() -> bool:
        with contextlib.suppress(OSError):
            socket.create_connection(("127.0.0.1", port), 1).close()
            return True
        return False

    return Child(name="the web server", command=command, ready=answers)
