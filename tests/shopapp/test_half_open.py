"""Connections that are opened and left so, on a real web server."""

from __future__ import annotations

import asyncio
import contextlib

import pytest
import uvicorn

from shopapp import half_open
from tests.conftest import in_a_loop


async def hello(scope, receive, send):
    """Answers, and now and then takes its time."""
    if scope["type"] != "http":
        return
    if scope["path"] == "/slow":
        await asyncio.sleep(0.6)
    headers = [(b"content-length", b"2")]
    await send({"type": "http.response.start", "status": 200, "headers": headers})
    await send({"type": "http.response.body", "body": b"ok"})


def served(talk):
    """Run `talk(open_connection)` against a server of this process."""

    async def run():
        config = uvicorn.Config(
            hello, port=0, http=half_open.Protocol, log_level="error", lifespan="off"
        )
        server = uvicorn.Server(config)
        server.install_signal_handlers = lambda: None
        running = asyncio.create_task(server.serve())
        while not server.started:
            await asyncio.sleep(0.01)
        port = server.servers[0].sockets[0].getsockname()[1]
        try:
            await talk(lambda: asyncio.open_connection("127.0.0.1", port))
        finally:
            server.should_exit = True
            await running

    in_a_loop(run())


async def rest(reader, within_s=3.0):
    with contextlib.suppress(ConnectionResetError):
        return await asyncio.wait_for(reader.read(), within_s)
    return b""


@pytest.fixture(autouse=True)
def short(monkeypatch):
    monkeypatch.setattr(half_open, "REQUEST_S", 0.3)


@pytest.mark.parametrize("said", [b"", b"GET / HTTP/1.1\r\nHost: a"])
def test_who_does_not_finish_a_request_is_cut_off(said):
    async def talk(connect):
        reader, writer = await connect()
        writer.write(said)
        assert await rest(reader) == b""
        writer.close()

    served(talk)


def test_a_slow_answer_is_not_cut_off_and_the_next_request_is_heard():
    async def talk(connect):
        reader, writer = await connect()
        writer.write(b"GET /slow HTTP/1.1\r\nHost: a\r\n\r\n")
        assert (await reader.readuntil(b"ok")).startswith(b"HTTP/1.1 200")
        await asyncio.sleep(0.1)
        writer.write(b"GET / HTTP/1.1\r\nHost: a\r\nConnection: close\r\n\r\n")
        assert (await rest(reader)).endswith(b"ok")
        writer.close()

    served(talk)


def test_after_an_answer_half_a_request_is_cut_off_too():
    async def talk(connect):
        reader, writer = await connect()
        writer.write(b"GET / HTTP/1.1\r\nHost: a\r\n\r\n")
        await reader.readuntil(b"ok")
        writer.write(b"GET / HT")
        assert await rest(reader) == b""
        writer.close()

    served(talk)
