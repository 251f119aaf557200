"""What moves on a screen: one watcher a process pushes to every open page.

`/live/?ticket=...` is a small ASGI function outside Django. A stream is one open
connection and nothing else: no thread, no session, no database connection. The
watcher reads the single `Revision` row, renders the board once for each language
in use, and sends it where its bytes differ from what that page has.
"""

from __future__ import annotations

import asyncio
import contextlib
import contextvars
import logging
import re
import signal
import threading
from collections.abc import Awaitable, Callable, Iterable, MutableMapping
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field
from time import monotonic
from typing import Any
from urllib.parse import parse_qs

from django.conf import settings
from django.db import connections
from django.db.models import Q
from django.utils import timezone, translation
from django.utils.module_loading import import_string

from shopapp import live_ticket
from shopapp.live_ticket import Ticket
from shopapp.models import Revision, SignIn, the_shop

Scope = MutableMapping[str, Any]
Receive = Callable[[], Awaitable[MutableMapping[str, Any]]]
Send = Callable[[MutableMapping[str, Any]], Awaitable[None]]

AGAIN_S = 15.0
"""Clocks move on the board without any action: render this often anyway."""
PING_S = 15.0
HEADERS = [
    (b"content-type", b"text/event-stream; charset=utf-8"),
    (b"cache-control", b"no-store"),
    (b"x-accel-buffering", b"no"),
]
logger = logging.getLogger(__name__)


@dataclass(kw_only=True, eq=False)
class Stream:
    """One open page. Only the newest event waits for it: each says everything."""

    ticket: Ticket
    waiting: bytes | None = None
    body: str | None = None
    admitted: bool = False
    ended: bool = False
    moved: asyncio.Event = field(default_factory=asyncio.Event)

    def offer(self, body: str | None, *, number: int) -> None:
        """Send this unless the page has it already, or there is nothing to send."""
        self.admitted = True
        if body is not None and body != self.body:
            name = self.ticket.channel
            self.body, self.waiting = body, event(name, body, number=number)
        self.moved.set()

    def end(self) -> None:
        """Close the page's stream."""
        self.ended = True
        self.moved.set()


@dataclass(frozen=True, kw_only=True)
class Seen:
    """What one look at the database found."""

    number: int
    over: frozenset[int] = frozenset()
    floors: dict[str, str | None] | None = None


class Live:
    """The streams of this process and the one watcher that feeds them."""

    def __init__(self, *, render_floor: str) -> None:
        self.render_floor = render_floor
        self.streams: set[Stream] = set()
        self._joined = asyncio.Event()
        self._watcher: asyncio.Task[None] | None = None
        # A thread of its own keeps one database connection, however many watch.
        self._thread = ThreadPoolExecutor(1, thread_name_prefix="live")

    async def lifespan(self, receive: Receive, send: Send) -> None:
        """Start and stop with the server."""
        while True:
            message = await receive()
            if message["type"] == "lifespan.startup":
                self._hear_the_end()
                await send({"type": "lifespan.startup.complete"})
            elif message["type"] == "lifespan.shutdown":
                await self.stop()
                await send({"type": "lifespan.shutdown.complete"})
                return

    def _hear_the_end(self) -> None:
        # A server waits for its open connections before it tells us that it
        # stops; so hear the signal too, and end the streams at once.
        loop = asyncio.get_running_loop()

        def chain(number: int, earlier: Any) -> None:
            def heard(number: int, frame: Any) -> None:
                loop.call_soon_threadsafe(self.end_streams)
                earlier(number, frame)

            signal.signal(number, heard)

        if threading.current_thread() is threading.main_thread():
            for number in (signal.SIGTERM, signal.SIGINT):
                if callable(earlier := signal.getsignal(number)):
                    chain(number, earlier)

    def end_streams(self) -> None:
        """Close every page's stream; the pages come back by themselves."""
        for stream in list(self.streams):
            stream.end()

    async def stop(self) -> None:
        """End every stream and the watcher."""
        self.end_streams()
        if self._watcher is not None:
            self._watcher.cancel()
            await asyncio.gather(self._watcher, return_exceptions=True)
        await self._in_thread(connections.close_all)
        self._thread.shutdown(wait=False)

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer one request for a stream."""
        query = parse_qs(scope.get("query_string", b"").decode("latin-1"))
        ticket = live_ticket.read(query.get("ticket", [""])[0])
        if ticket is None:
            await refuse(send)
            return
        stream = Stream(ticket=ticket)
        self._start_watcher()
        self.streams.add(stream)
        self._joined.set()
        left = asyncio.create_task(_left(receive))
        left.add_done_callback(lambda _task: stream.end())
        try:
            await stream.moved.wait()
            if stream.admitted:
                await _feed(stream, send)
            elif not left.done():
                await refuse(send)
        finally:
            self.streams.discard(stream)
            left.cancel()

    def _start_watcher(self) -> None:
        if self._watcher is None or self._watcher.done():
            # Without a context of its own it would inherit the first request's.
            self._watcher = asyncio.create_task(
                self._watch(), context=contextvars.Context()
            )

    async def _watch(self) -> None:
        number, rendered_at = -1, 0.0
        while True:
            if not self.streams:
                await self._in_thread(connections.close_all)
                self._joined.clear()
                await self._joined.wait()
            self._joined.clear()
            # Who joins during the look has not been asked about: next round.
            streams = list(self.streams)
            anyway = monotonic() - rendered_at >= AGAIN_S
            anyway |= not all(stream.admitted for stream in streams)
            tickets = frozenset(stream.ticket for stream in streams)
            try:
                seen = await self._in_thread(self._look, number, tickets, anyway)
            except Exception:
                logger.exception("the live watcher could not read the shop")
                await self._in_thread(connections.close_all)
                await asyncio.sleep(1)
                continue
            if seen.floors is not None:
                number, rendered_at = seen.number, monotonic()
                deal(streams, seen)
            with contextlib.suppress(TimeoutError):
                poll_s = settings.LIVE_POLL_MS / 1000
                await asyncio.wait_for(self._joined.wait(), poll_s)

    def _look(self, known: int, tickets: frozenset[Ticket], anyway: bool) -> Seen:
        """Read the revision; when it moved, who is still signed in and the board."""
        number = Revision.objects.values_list("number", flat=True).get(pk=1)
        if number == known and not anyway:
            return Seen(number=number)
        languages = {each.language for each in tickets if each.channel == "floor"}
        return Seen(
            number=number,
            over=_over(ticket.sign_in_pk for ticket in tickets),
            floors={language: self._floor(language) for language in languages},
        )

    def _floor(self, language: str) -> str | None:
        try:
            render: Callable[[], str] = import_string(self.render_floor)
            with translation.override(language), timezone.override(the_shop().zone):
                return render()
        except Exception:
            # A broken board must not keep a signed-out page open.
            logger.exception("the board could not be rendered")
            return None

    async def _in_thread(self, do: Callable[..., Any], *args: Any) -> Any:
        loop = asyncio.get_running_loop()
        return await loop.run_in_executor(self._thread, do, *args)


def deal(streams: Iterable[Stream], seen: Seen) -> None:
    """Hand what was seen to the streams that it was asked for."""
    floors = seen.floors or {}
    for stream in streams:
        ticket = stream.ticket
        if ticket.sign_in_pk in seen.over:
            stream.end()
            continue
        changed = ticket.channel == "changed"
        body = str(seen.number) if changed else floors[ticket.language]
        stream.offer(body, number=seen.number)


def _over(sign_ins: Iterable[int]) -> frozenset[int]:
    """Those of these sign-ins that do not last any more, in one query."""
    asked = frozenset(sign_ins)
    lasting = SignIn.objects.filter(
        Q(pk__in=asked), ended_at__isnull=True, person__is_active=True
    )
    return asked - frozenset(lasting.values_list("pk", flat=True))


async def _feed(stream: Stream, send: Send) -> None:
    await send({"type": "http.response.start", "status": 200, "headers": HEADERS})
    await _send(send, b"retry: 2000\n\n")
    while not stream.ended:
        stream.moved.clear()
        if stream.waiting is not None:
            body, stream.waiting = stream.waiting, None
            await _send(send, body)
            continue
        try:
            await asyncio.wait_for(stream.moved.wait(), PING_S)
        except TimeoutError:
            await _send(send, b": still here\n\n")
    await send({"type": "http.response.body", "body": b"", "more_body": False})


async def _left(receive: Receive) -> None:
    while (await receive())["type"] != "http.disconnect":
        pass


async def _send(send: Send, body: bytes) -> None:
    await send({"type": "http.response.body", "body": body, "more_body": True})


async def refuse(send: Send) -> None:
    """403, with a sentence."""
    headers = [(b"content-type", b"text/plain; charset=utf-8")]
    await send({"type": "http.response.start", "status": 403, "headers": headers})
    body = b"This page was open too long. Load it again."
    await send({"type": "http.response.body", "body": body})


def event(name: str, body: str, *, number: int) -> bytes:
    """One server-sent event; each line of the body is a data line of its own.

    >>> event("floor", "<p>\\n</p>", number=7)
    b'id: 7\\nevent: floor\\ndata: <p>\\ndata: </p>\\n\\n'
    """
    lines = [f"id: {number}", f"event: {name}"]
    lines += [f"data: {line}" for line in re.split("\r\n|\r|\n", body)]
    return ("\n".join(lines) + "\n\n").encode()
