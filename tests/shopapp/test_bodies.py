"""How much a request may send, before Django reads any of it."""

from __future__ import annotations

import asyncio

import pytest
from django.conf import settings
from django.test import Client

from shopapp import bodies
from shopapp.bodies import SMALL_BYTES, Bounded
from tests.conftest import in_a_loop

LARGE = SMALL_BYTES + 1


def ask(length, *, known="tests.shopapp.test_bodies.nobody", parts=(), headers=()):
    """What came back, and what the application behind it was given."""
    sent, got, left = [], [], list(parts)

    async def app(scope, receive, send):
        while True:
            message = await receive()
            got.append(message)
            if not message.get("more_body"):
                return

    async def receive():
        if left:
            body = left.pop(0)
            return {"type": "http.request", "body": body, "more_body": bool(left)}
        await asyncio.sleep(3600)

    async def send(message):
        sent.append(message)

    scope = {
        "type": "http",
        "path": "/nowhere/",
        "headers": [(b"content-length", str(length).encode()), *headers],
    }
    in_a_loop(Bounded(app, known=[known])(scope, receive, send))
    status = sent[0]["status"] if sent else None
    return status, b"".join(m.get("body", b"") for m in sent).decode(), got


def nobody(scope):
    return False


def somebody(scope):
    return True


def test_a_typed_form_passes_from_anybody():
    status, _, got = ask(4, parts=[b"a=", b"b1"])
    assert status is None
    assert [message["body"] for message in got] == [b"a=", b"b1"]


def test_a_large_body_of_a_stranger_is_refused_before_it_is_read():
    status, said, got = ask(LARGE, parts=[b"x"])
    assert (status, got) == (413, [])
    assert "Sign in first" in said


def test_a_photo_of_somebody_known_passes():
    status, _, got = ask(
        LARGE, known="tests.shopapp.test_bodies.somebody", parts=[b"x"]
    )
    assert status is None
    assert got


def test_even_who_is_known_sends_no_more_than_four_photos_and_is_told():
    known = "tests.shopapp.test_bodies.somebody"
    most = settings.BODY_MOST_BYTES
    status, said, got = ask(most + 1, known=known, parts=[b"x", b"y"])
    assert (status, got) == (413, [])
    assert "48 MB at once is the most" in said


def test_a_body_without_its_length_is_not_begun():
    status, _, got = ask(0, headers=[(b"transfer-encoding", b"chunked")])
    assert (status, got) == (411, [])


def test_a_body_that_rests_is_given_up(monkeypatch):
    monkeypatch.setattr(bodies, "PAUSE_S", 0.01)
    status, _, got = ask(4, parts=[])
    assert status is None
    assert [message["type"] for message in got] == ["http.disconnect"]


@pytest.mark.django_db
def test_a_browser_that_is_signed_in_is_known(manager):
    client = Client()
    client.force_login(manager)

    def scope(cookie):
        return {"headers": [(b"cookie", cookie.encode())]}

    key = client.cookies["sessionid"].value
    assert bodies.is_signed_in(scope(f"a=b; sessionid={key}"))
    assert not bodies.is_signed_in(scope("sessionid=" + "x" * 32))
    assert not bodies.is_signed_in(scope(""))
    assert not bodies.is_signed_in({"headers": []})
