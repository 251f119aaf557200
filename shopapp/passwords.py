"""Passwords and PINs as argon2id, few at a time.

Sizes: OWASP Password Storage Cheat Sheet, "Argon2id": 19 MiB, two passes, one lane.
What is kept with other sizes is read, and kept anew at the next sign-in.
"""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Any

from django.contrib.auth.hashers import Argon2PasswordHasher
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

AT_ONCE = 2
QUEUE = 10


class TooBusyError(Exception):
    """So many passwords are being tried that this one has to come again."""


class Turns:
    """Lets few in at a time, a bounded queue wait, and sends the rest away."""

    def __init__(self, *, at_once: int, queue: int) -> None:
        self._most = at_once + queue
        self._here = 0
        self._lock = threading.Lock()
        self._places = threading.Semaphore(at_once)

    @contextmanager
    def turn(self) -> Iterator[None]:
        """Wait for a place; raises `TooBusyError` when the queue is full."""
        with self._lock:
            if self._here >= self._most:
                raise TooBusyError
            self._here += 1
        try:
            with self._places:
                yield
        finally:
            with self._lock:
                self._here -= 1


turns = Turns(at_once=AT_ONCE, queue=QUEUE)


class Argon2Hasher(Argon2PasswordHasher):
    """Argon2id of this shop's size, in turn."""

    time_cost = 2
    memory_cost = 19 * 1024
    parallelism = 1

    def encode(self, password: str, salt: str) -> str:
        """The hash to keep."""
        with turns.turn():
            encoded: str = super().encode(password, salt)
        return encoded

    def verify(self, password: str, encoded: str) -> bool:
        """True for the password that was kept."""
        with turns.turn():
            return bool(super().verify(password, encoded))


class TooBusyMiddleware:
    """429 with a sentence where the queue was full."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        return self.get_response(request)

    def process_exception(
        self, request: HttpRequest, wrong: Any
    ) -> HttpResponse | None:
        """Only for this."""
        if not isinstance(wrong, TooBusyError):
            return None
        answer = render(request, "429.html", status=429)
        answer.headers["Retry-After"] = "5"
        return answer
