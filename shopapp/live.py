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
from collections.abc import Awaitable, Callable, Iterable, Mapping, MutableMapping
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field
from time import monotonic
from typing import Any, TypeVar
from urllib.parse import parse_qs

from django.conf import settings
from django.db import connection, connections
from django.db.models import Q
from django.utils import timezone, translation
from django.utils.module_loading import import_string

from shopapp import live_ticket
from shopapp.live_ticket import Ticket
from shopapp.models import SignIn, the_shop

Scope = MutableMapping[str, Any]
Receive = Callable[[], Awaitable[MutableMapping[str, Any]]]
Send = Callable[[MutableMapping[str, Any]], Awaitable[None]]

AGAIN_S = 15.0
"""Clocks move on the board without any action: render this often anyway."""
PING_S = 15.0
MOST_OF_ONE, MOST_OF_ALL = 12, 400
"""Open streams of one sign-in, and of everybody."""
PING = b": still here\n\n"
HEADERS = [
    (b"content-type", b"text/event-stream; charset=utf-8"),
    (b"cache-control", b"no-store"),
    (b"x-accel-buffering", b"no"),
]
T = TypeVar("T")
logger = logging.getLogger(__name__)


@dataclass(frozen=True, kw_only=True)
class News:
    """What a page may be told: the bytes that carry it are made once for all."""

    body: str
    event: bytes


@dataclass(kw_only=True, eq=False)
class Stream:
    """One open page. Only the newest event waits for it: each says everything."""

    ticket: Ticket
    waiting: bytes | None = None
    told: str | None = None
    admitted: bool = False
    ended: bool = False
    moved: asyncio.Event = field(default_factory=asyncio.Event)

    def offer(self, news: News | None) -> None:
        """Let the page in, and tell it what it does not know yet."""
        if news is not None and news.body != self.told:
            self.told, self.waiting = news.body, news.event
        if self.waiting is not None or not self.admitted:
            self.admitted = True
            self.moved.set()

    def ping(self) -> None:
        """Show that the line is open, to the page and to what stands between."""
        if self.admitted and self.waiting is None:
            self.waiting = PING
            self.moved.set()

    def end(self) -> None:
        """Close the page's stream."""
        self.ended = True
        self.moved.set()


@dataclass(frozen=True, kw_only=True)
class Seen:
    """What one look at the shop found."""

    number: int
    over: frozenset[int] = frozenset()
    news: Mapping[tuple[str, str], News | None] = field(default_factory=dict)


class Live:
    """The streams of this process and the one watcher that feeds them."""

    def __init__(self, *, render_floor: str) -> None:
        self.render_floor = render_floor
        # In the order of their coming; a dict keeps it, a set would not.
        self.streams: dict[Stream, None] = {}
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
        self._make_room(ticket)
        self._start_watcher()
        self.streams[stream] = None
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
            self.streams.pop(stream, None)
            left.cancel()

    def _make_room(self, ticket: Ticket) -> None:
        """End the oldest: a page that is still looked at asks again."""
        own = [s for s in self.streams if s.ticket.sign_in_pk == ticket.sign_in_pk]
        crowds = ((own, MOST_OF_ONE), (list(self.streams), MOST_OF_ALL))
        for crowd, most in crowds:
            for stream in crowd[: max(0, len(crowd) - most + 1)]:
                stream.end()
                self.streams.pop(stream, None)

    def _start_watcher(self) -> None:
        if self._watcher is None or self._watcher.done():
            # Without a context of its own it would inherit the first request's.
            self._watcher = asyncio.create_task(
                self._watch(), context=contextvars.Context()
            )

    async def _watch(self) -> None:
        seen, looked_at, pinged_at = Seen(number=-1), 0.0, monotonic()
        while True:
            if not self.streams:
                await self._in_thread(connections.close_all)
                await self._joined.wait()
            joined = self._joined.is_set()
            self._joined.clear()
            try:
                number = await self._in_thread(read_number)
                stale = monotonic() - looked_at >= AGAIN_S
                if moved := stale or number != seen.number:
                    looked_at = monotonic()
                if moved or joined:
                    seen = await self._tell(number, known=None if moved else seen)
            except Exception:
                logger.exception("the live watcher could not read the shop")
                await self._in_thread(connections.close_all)
                seen = Seen(number=-1)
                await asyncio.sleep(1)
            if monotonic() - pinged_at >= PING_S:
                pinged_at = monotonic()
                for stream in self.streams:
                    stream.ping()
            with contextlib.suppress(TimeoutError):
                poll_s = settings.LIVE_POLL_MS / 1000
                await asyncio.wait_for(self._joined.wait(), poll_s)

    async def _tell(self, number: int, *, known: Seen | None) -> Seen:
        # Who joins during the look has not been asked about: next round.
        streams = list(self.streams)
        tickets = {stream.ticket for stream in streams}
        seen = await self._in_thread(self._look, number, tickets, known)
        for stream in streams:
            if stream.ticket.sign_in_pk in seen.over:
                stream.end()
            else:
                stream.offer(seen.news[kind_of(stream.ticket)])
        return seen

    def _look(self, number: int, tickets: set[Ticket], known: Seen | None) -> Seen:
        """Who is still signed in, and what each kind of page is to be told.

        What is known is told to a newcomer as it is; only the rest is rendered.
        """
        news = dict(known.news) if known else {}
        for ticket in tickets:
            kind = kind_of(ticket)
            if kind not in news:
                floor = ticket.channel == "floor"
                body = self._floor(ticket.language) if floor else str(number)
                news[kind] = news_of(ticket.channel, body, number=number)
        over = _over(ticket.sign_in_pk for ticket in tickets)
        return Seen(number=number, over=over, news=news)

    def _floor(self, language: str) -> str | None:
        try:
            render: Callable[[], str] = import_string(self.render_floor)
            with translation.override(language), timezone.override(the_shop().zone):
                return render()
        except Exception:
            # A broken board must not keep a signed-out page open.
            logger.exception("the board could not be rendered")
            return None

    async def _in_thread(self, do: Callable[..., T], *args: Any) -> T:
        loop = asyncio.get_running_loop()
        return await loop.run_in_executor(self._thread, do, *args)


def read_number() -> int:
    """The revision; read so often that the query is written out."""
    with connection.cursor() as cursor:
        cursor.execute("SELECT number FROM shopapp_revision WHERE id = 1")
        return int(cursor.fetchone()[0])


def kind_of(ticket: Ticket) -> tuple[str, str]:
    """Pages of one kind are told the same."""
    floor = ticket.channel == "floor"
    return ticket.channel, ticket.language if floor else ""


def news_of(channel: str, body: str | None, *, number: int) -> News | None:
    """The news, or None where there is nothing to tell."""
    if body is None:
        return None
    return News(body=body, event=event(channel, body, number=number))


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
        body, stream.waiting = stream.waiting, None
        if body is not None:
            await _send(send, body)
        stream.moved.clear()
        if stream.waiting is None and not stream.ended:
            await stream.moved.wait()
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
