"""How much a request may send: bounded before Django reads a byte of it.

Whoever is not known here fits into `SMALL_BYTES`, which any typed form does. Photos
come from those who are signed in, or who hold a customer's link.
"""

from __future__ import annotations

import asyncio
from collections.abc import Awaitable, Callable, Sequence
from http import HTTPStatus
from http.cookies import CookieError, SimpleCookie
from importlib import import_module
from typing import Any

from asgiref.sync import sync_to_async
from django.conf import settings
from django.contrib.auth import SESSION_KEY
from django.utils.module_loading import import_string

from shopapp.live import Receive, Scope, Send

App = Callable[[Scope, Receive, Send], Awaitable[None]]

SMALL_BYTES = 128 * 1024
PAUSE_S = 20.0
"""A body that rests for longer is given up."""
DRAINED_BYTES = 300 * 1024 * 1024
"""Read and thrown away, so that a browser hears the answer after its upload."""


class Bounded:
    """The application behind a bound for each request's body.

    known  dotted names of `(scope) -> bool`: is this somebody who may send photos?
    """

    def __init__(self, app: App, *, known: Sequence[str]) -> None:
        self.app = app
        self.known = known

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass the request on, or say what is too much."""
        headers = dict(scope["headers"])
        if b"transfer-encoding" in headers:
            await _refuse(send, HTTPStatus.LENGTH_REQUIRED, "Say how long it is.")
            return
        text = headers.get(b"content-length", b"0")
        length = int(text) if text.isdigit() else 0
        if length > SMALL_BYTES:
            known = await sync_to_async(self._knows)(scope)
            most = settings.BODY_MOST_BYTES if known else SMALL_BYTES
            if length > most:
                if known and length <= DRAINED_BYTES:
                    await _drain(receive)
                await _refuse(
                    send, HTTPStatus.REQUEST_ENTITY_TOO_LARGE, _too_large(most)
                )
                return
        await self.app(scope, _patient(receive), send)

    def _knows(self, scope: Scope) -> bool:
        return any(import_string(name)(scope) for name in self.known)


def is_signed_in(scope: Scope) -> bool:
    """True for a browser whose session names a person."""
    text = dict(scope["headers"]).get(b"cookie", b"").decode("latin-1")
    try:
        cookie = SimpleCookie(text).get(settings.SESSION_COOKIE_NAME)
    except CookieError:
        return False
    if cookie is None:
        return False
    store = import_module(settings.SESSION_ENGINE).SessionStore
    return SESSION_KEY in store(cookie.value)


def _too_large(most: int) -> str:
    if most == SMALL_BYTES:
        return "This is too much for a page that asks for no sign-in. Sign in first."
    most_mb = most // 1024 // 1024
    return f"This is too large: {most_mb} MB at once is the most. Send fewer photos."


def _patient(receive: Receive) -> Receive:
    """Waits for the next part of a body, but not for ever."""
    whole = False

    async def next_part() -> Any:
        nonlocal whole
        if whole:
            return await receive()
        try:
            message = await asyncio.wait_for(receive(), PAUSE_S)
        except TimeoutError:
            message = {"type": "http.disconnect"}
        whole = not message.get("more_body", False)
        return message

    return next_part


async def _drain(receive: Receive) -> None:
    read = _patient(receive)
    while (await read()).get("more_body"):
        pass


async def _refuse(send: Send, status: HTTPStatus, sentence: str) -> None:
    headers = [
        (b"content-type", b"text/plain; charset=utf-8"),
        (b"connection", b"close"),
    ]
    start = {"type": "http.response.start", "status": status.value, "headers": headers}
    await send(start)
    await send({"type": "http.response.body", "body": sentence.encode()})
