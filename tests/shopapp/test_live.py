"""Live streams: what they send, whom they refuse, and what they cost."""

from __future__ import annotations

import asyncio
import contextlib
import os
import time
from pathlib import Path
from urllib.parse import urlsplit

import pytest
from django.core import signing
from django.db import connections
from django.db.models import F
from django.utils import timezone

from shopapp import live_ticket
from shopapp.live import Live, event
from shopapp.live_ticket import SALT, Ticket
from shopapp.models import Revision, SignIn
from tests.conftest import serving
from tests.makers import PASSWORD, make_person

pytestmark = pytest.mark.django_db(transaction=True)

BOARD = ["<p>one</p>"]


def fragment() -> str:
    """Stands in for the floor board."""
    return BOARD[0]


def broken() -> str:
    """A board that cannot be rendered."""
    raise RuntimeError("no board today")


@pytest.fixture
def sign_in():
    return SignIn.objects.create(person=make_person("manager"))


def ticket(sign_in: SignIn, channel: str = "floor") -> str:
    return live_ticket.sign(
        Ticket(sign_in_pk=sign_in.pk, channel=channel, language="en")
    )


class Page:
    """A page on a stream, without a network between."""

    def __init__(self, live: Live, text: str) -> None:
        self.status = 0
        self.got = b""
        self.gone = asyncio.Event()
        scope = {"type": "http", "query_string": f"ticket={text}".encode()}
        self.task = asyncio.create_task(live(scope, self._receive, self._send))

    async def _receive(self):
        await self.gone.wait()
        return {"type": "http.disconnect"}

    async def _send(self, message):
        self.status = message.get("status", self.status)
        self.got += message.get("body", b"")

    async def reads(self, wanted: bytes, within_s: float = 5) -> None:
        async with asyncio.timeout(within_s):
            while wanted not in self.got:
                await asyncio.sleep(0.01)


def during(test, *, render: str = "tests.shopapp.test_live.fragment"):
    """Run a coroutine function with a `Live`, and stop it after."""

    async def run():
        live = Live(render_floor=render)
        try:
            await test(live)
        finally:
            await live.stop()

    asyncio.run(run())


def bump() -> None:
    Revision.objects.update(number=F("number") + 1)
    connections.close_all()


async def do(what) -> None:
    await asyncio.to_thread(what)


def test_the_board_is_sent_at_once_and_again_when_it_moved(sign_in):
    async def test(live):
        BOARD[0] = "<p>one</p>"
        page = Page(live, ticket(sign_in))
        await page.reads(b"data: <p>one</p>\n\n", 1)
        assert page.status == 200
        assert page.got.startswith(b"retry: 2000\n\n")
        BOARD[0] = "<p>two</p>"
        await do(bump)
        await page.reads(b"id: 1\nevent: floor\ndata: <p>two</p>\n\n", 1)

    during(test)


def test_a_board_with_the_same_bytes_is_not_sent_again(sign_in):
    async def test(live):
        BOARD[0] = "<p>same</p>"
        floor = Page(live, ticket(sign_in))
        changed = Page(live, ticket(sign_in, "changed"))
        await floor.reads(b"same")
        await do(bump)
        await changed.reads(b"data: 1\n\n")
        assert floor.got.count(b"event: floor") == 1

    during(test)


def test_a_page_of_one_person_hears_only_the_number(sign_in):
    async def test(live):
        page = Page(live, ticket(sign_in, "changed"))
        await page.reads(b"id: 0\nevent: changed\ndata: 0\n\n")

    during(test)


def test_a_broken_board_keeps_neither_the_others_nor_a_signed_out_page(sign_in):
    async def test(live):
        floor = Page(live, ticket(sign_in))
        changed = Page(live, ticket(sign_in, "changed"))
        await changed.reads(b"data: 0")

        def sign_out():
            SignIn.objects.update(ended_at=timezone.now())
            bump()

        await do(sign_out)
        async with asyncio.timeout(2):
            await asyncio.gather(floor.task, changed.task)

    during(test, render="tests.shopapp.test_live.broken")


def test_a_sign_in_that_has_ended_opens_no_stream(sign_in):
    text = ticket(sign_in)
    SignIn.objects.update(ended_at=timezone.now())

    async def test(live):
        page = Page(live, text)
        await asyncio.wait_for(page.task, 2)
        assert page.status == 403

    during(test)


def test_who_is_let_go_is_cut_off(sign_in):
    async def test(live):
        page = Page(live, ticket(sign_in, "changed"))
        await page.reads(b"data: 0")

        def let_go():
            sign_in.person.is_active = False
            sign_in.person.save()
            bump()

        await do(let_go)
        await asyncio.wait_for(page.task, 2)

    during(test)


@pytest.mark.parametrize(
    "text",
    [
        "",
        "nonsense",
        signing.dumps([1, "floor", "en"], salt="another room"),
        signing.dumps([1, "everything", "en"], salt=SALT),
    ],
    ids=["empty", "nonsense", "another room's", "unknown channel"],
)
def test_a_forged_ticket_is_refused(text):
    async def test(live):
        page = Page(live, text)
        await asyncio.wait_for(page.task, 2)
        assert page.status == 403

    during(test)


def test_a_ticket_runs_out(sign_in, settings):
    text = ticket(sign_in)
    settings.LIVE_TICKET_S = -1
    assert live_ticket.read(text) is None


def test_a_page_that_left_is_forgotten(sign_in):
    async def test(live):
        page = Page(live, ticket(sign_in, "changed"))
        await page.reads(b"data: 0")
        page.gone.set()
        await asyncio.wait_for(page.task, 2)
        assert not live.streams

    during(test)


def test_every_line_of_a_board_is_a_data_line():
    assert event("floor", "a\r\nb\rc\nd", number=3) == (
        b"id: 3\nevent: floor\ndata: a\ndata: b\ndata: c\ndata: d\n\n"
    )


def test_a_page_carries_a_ticket_for_its_own_sign_in(client, manager):
    client.post("/sign-in/", {"username": "mara", "password": PASSWORD})
    text = client.get("/live/ticket/floor/").content.decode()
    found = live_ticket.read(text)
    assert found is not None
    assert found.sign_in_pk == SignIn.objects.get().pk
    assert client.get("/live/ticket/else/").status_code == 404


async def open_stream(url: str, text: str):
    """A page on a real stream; returns its two ends once the first event is in."""
    address = urlsplit(url)
    reader, writer = await asyncio.open_connection(address.hostname, address.port)
    request = f"GET /live/?ticket={text} HTTP/1.1\r\nHost: localhost\r\n\r\n"
    writer.write(request.encode())
    await writer.drain()
    async with asyncio.timeout(20):
        head = await reader.readuntil(b"\r\n\r\n")
        assert b" 200 " in head
        assert b"x-accel-buffering: no" in head.lower()
        await reader.readuntil(b"event: changed\n")
    return reader, writer


def cost(pid: int) -> tuple[int, int]:
    """Threads and open database files of a process (proc(5))."""
    process = Path("/proc") / str(pid)
    files = 0
    for link in (process / "fd").iterdir():
        with contextlib.suppress(OSError):
            files += "shop.sqlite3" in os.readlink(link)  # noqa: PTH115
    return len(list((process / "task").iterdir())), files


@pytest.mark.skipif(not Path("/proc/self/task").exists(), reason="counts in /proc")
def test_three_hundred_streams_cost_no_thread_and_no_connection(sign_in):
    others = [SignIn.objects.create(person=sign_in.person) for _ in range(29)]
    # Ten screens each: more of one sign-in would end its oldest.
    texts = [ticket(each, "changed") for each in (sign_in, *others)] * 10

    async def test(url, server):
        ends = [await open_stream(url, text) for text in texts[:5]]
        few = cost(server.pid)
        ends += await asyncio.gather(*(open_stream(url, text) for text in texts[5:]))
        assert cost(server.pid) == few
        await do(bump)
        async with asyncio.timeout(5):
            for reader, _writer in ends:
                await reader.readuntil(b"data: 1\n")
        assert cost(server.pid) == few
        begun = time.monotonic()
        server.terminate()
        await asyncio.to_thread(server.wait, 10)
        assert time.monotonic() - begun < 5
        for _reader, writer in ends:
            writer.close()

    with serving() as (url, server):
        asyncio.run(test(url, server))


def test_signing_out_ends_the_stream_of_a_real_server(sign_in):
    text = ticket(sign_in, "changed")

    async def test(url):
        reader, writer = await open_stream(url, text)

        def sign_out():
            SignIn.objects.update(ended_at=timezone.now())
            bump()

        await do(sign_out)
        # The empty chunk that ends a body (RFC 9112, section 7.1).
        async with asyncio.timeout(3):
            await reader.readuntil(b"\r\n0\r\n\r\n")
        writer.close()

    with serving() as (url, _server):
        asyncio.run(test(url))


def test_of_one_sign_in_only_the_newest_streams_stay_open(sign_in, monkeypatch):
    monkeypatch.setattr("shopapp.live.MOST_OF_ONE", 2)

    async def test(live):
        BOARD[0] = "<p>one</p>"
        pages = [Page(live, ticket(sign_in)) for _ in range(2)]
        for page in pages:
            await page.reads(b"one")
        newest = Page(live, ticket(sign_in))
        await newest.reads(b"one")
        async with asyncio.timeout(5):
            await pages[0].task
        assert not pages[1].task.done()
        assert len(live.streams) == 2
        for page in (pages[1], newest):
            page.gone.set()
            await page.task

    during(test)
