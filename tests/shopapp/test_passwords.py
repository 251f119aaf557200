"""Passwords: how they are kept, and how many are tried at a time."""

from __future__ import annotations

import threading

import pytest
from django.contrib.auth.hashers import Argon2PasswordHasher, check_password
from django.test import override_settings

from shopapp import passwords
from shopapp.passwords import Argon2Hasher, TooBusyError, Turns


def test_a_password_is_kept_as_argon2id_with_19_mib_two_passes_one_lane():
    """OWASP Password Storage Cheat Sheet, section Argon2id."""
    kept = Argon2Hasher().encode("not a word", "some-salt-of-it")
    assert kept.startswith("argon2$argon2id$v=19$m=19456,t=2,p=1$")
    assert Argon2Hasher().verify("not a word", kept)
    assert not Argon2Hasher().verify("another word", kept)


@override_settings(PASSWORD_HASHERS=["shopapp.passwords.Argon2Hasher"])
def test_what_was_kept_larger_before_is_read_and_kept_anew():
    before = Argon2PasswordHasher().encode("not a word", "some-salt-of-it")
    renewed = []
    assert check_password("not a word", before, setter=renewed.append)
    assert renewed == ["not a word"]


def test_two_are_tried_at_once_ten_wait_and_the_thirteenth_is_sent_away():
    turns = Turns(at_once=2, queue=10)
    let_go, inside = threading.Event(), threading.Semaphore(0)

    def one():
        with turns.turn():
            inside.release()
            let_go.wait(10)

    threads = [threading.Thread(target=one) for _ in range(12)]
    for thread in threads:
        thread.start()
    for _ in range(2):
        assert inside.acquire(timeout=10)
    while turns._here < 12:
        pass
    assert not inside.acquire(blocking=False)
    with pytest.raises(TooBusyError), turns.turn():
        pass
    let_go.set()
    for thread in threads:
        thread.join()
    with turns.turn():
        assert turns._here == 1


@pytest.mark.django_db
def test_who_is_sent_away_reads_when_to_come_again(client, manager, monkeypatch):
    def full(*_args, **_more):
        raise TooBusyError

    monkeypatch.setattr("tests.makers.QuickHasher.verify", full)
    answer = client.post("/sign-in/", {"username": "mara", "password": "some word"})
    assert answer.status_code == 429
    assert answer["Retry-After"] == "5"
    assert "Wait some seconds" in answer.content.decode()
    assert passwords.AT_ONCE == 2
