"""Wrong passwords and PINs: how many are tried, and whom they keep out."""

from __future__ import annotations

import threading

import pytest
from django.http import HttpRequest
from django.test import RequestFactory

from shopapp.models import Device, FailedSignIn, Person, SignIn, TryCount
from shopapp.passwords import TooBusyError
from shopapp.tries import (
    COOKIE,
    MOST_IN_A_ROW,
    ClosedPinError,
    Kind,
    TooManyTriesError,
    forget_old_tries,
    key_hash,
    open_pin,
    tried,
)
from tests.makers import make_person
from tests.rivals import at_once

MOST = 10
BURST = 40


def asking(device: str = "", *, address: str = "192.0.2.7") -> HttpRequest:
    request = RequestFactory().post("/", REMOTE_ADDR=address)
    if device:
        Device.objects.get_or_create(key_hash=key_hash(device))
        request.COOKIES[COOKIE] = device
    return request


def wrong(request: HttpRequest, person: Person | None, kind=Kind.PIN, name="") -> bool:
    """One wrong try; False where it was not even tried."""
    try:
        tried(request, kind=kind, name=name, person=person, right=lambda: False)
    except TooManyTriesError:
        return False
    return True


def is_let_in(request: HttpRequest, person: Person, kind=Kind.PIN) -> bool:
    try:
        return tried(request, kind=kind, name="", person=person, right=lambda: True)
    except TooManyTriesError:
        return False


@pytest.mark.postgres
@pytest.mark.django_db(transaction=True)
@pytest.mark.parametrize("kind", list(Kind))
def test_of_a_burst_exactly_as_many_are_tried_as_may_be(kind):
    person = make_person("manager")
    requests = [asking(f"tablet {n % 4}") for n in range(BURST)]
    lock, was_checked = threading.Lock(), []

    def never() -> bool:
        with lock:
            was_checked.append(1)
        return False

    def one(request: HttpRequest) -> str:
        try:
            tried(request, kind=kind, name="", person=person, right=never)
        except TooManyTriesError:
            return "not tried"
        return "tried"

    answers = at_once(*(lambda r=request: one(r) for request in requests))
    assert answers.count("tried") == len(was_checked) == MOST
    assert answers.count("not tried") == BURST - MOST
    assert FailedSignIn.objects.count() == MOST


@pytest.mark.postgres
@pytest.mark.django_db(transaction=True)
def test_a_burst_over_all_people_of_a_tablet_is_stopped_by_the_tablet():
    people = [make_person("installer", username=f"p{n}") for n in range(8)]
    asked = [(asking("tablet"), people[n % 8]) for n in range(64)]
    answers = at_once(*(lambda a=a: wrong(*a) for a in asked))
    assert answers.count(True) == 3 * MOST


@pytest.mark.django_db
def test_wrong_pins_lock_no_password_and_wrong_passwords_no_pin(installer):
    tablet = asking("tablet")
    while wrong(tablet, installer):
        pass
    assert not is_let_in(tablet, installer)
    assert is_let_in(tablet, installer, Kind.PASSWORD)
    other = make_person("installer", username="olga")
    while wrong(tablet, other, Kind.PASSWORD):
        pass
    assert is_let_in(tablet, other)


@pytest.mark.django_db
def test_one_person_s_wrong_pins_leave_the_tablet_open_for_the_others(installer):
    tablet = asking("tablet")
    for _ in range(BURST):
        wrong(tablet, installer)
    assert is_let_in(tablet, make_person("installer", username="olga"))


@pytest.mark.django_db
def test_a_stranger_s_tries_elsewhere_keep_nobody_out_where_they_work(manager):
    desk = asking("desk", address="192.0.2.8")
    SignIn.objects.create(person=manager, device=Device.objects.get())
    for n in range(BURST):
        wrong(asking(address=f"198.51.100.{n}"), manager, Kind.PASSWORD)
    assert not is_let_in(asking(address="198.51.100.99"), manager, Kind.PASSWORD)
    assert is_let_in(desk, manager, Kind.PASSWORD)


@pytest.mark.django_db
def test_a_name_that_nobody_has_is_counted_like_one_that_somebody_has(manager):
    def until_refused(person, name):
        made = 0
        while wrong(asking(address=f"192.0.2.{made}"), person, Kind.PASSWORD, name):
            made += 1
        return made

    assert until_refused(manager, "mara") == until_refused(None, "nobody") == MOST


@pytest.mark.django_db
def test_what_was_right_counts_for_nothing_and_wipes_nothing(installer):
    tablet = asking("tablet")
    for _ in range(BURST):
        assert is_let_in(tablet, installer)
    for _ in range(MOST - 1):
        assert wrong(tablet, installer)
    assert is_let_in(tablet, installer)
    assert wrong(tablet, installer)
    assert not is_let_in(tablet, installer)


@pytest.mark.django_db
def test_what_was_not_checked_for_the_crowd_is_given_back(installer):
    def busy() -> bool:
        raise TooBusyError

    tablet = asking("tablet")
    for _ in range(BURST):
        with pytest.raises(TooBusyError):
            tried(tablet, kind=Kind.PIN, name="", person=installer, right=busy)
    assert is_let_in(tablet, installer)


@pytest.mark.postgres
@pytest.mark.django_db
def test_a_pin_that_is_guessed_at_for_long_is_closed_until_it_is_opened(installer):
    tablet = asking("tablet")
    for _ in range(MOST_IN_A_ROW):
        assert wrong(tablet, installer)
        TryCount.objects.update(since="2001-01-01T00:00:00Z")
    with pytest.raises(ClosedPinError):
        tried(tablet, kind=Kind.PIN, name="", person=installer, right=lambda: True)
    forget_old_tries()
    assert not is_let_in(tablet, installer)
    assert is_let_in(tablet, installer, Kind.PASSWORD), "the password opens it again"
    assert is_let_in(tablet, installer)
    open_pin(installer)


@pytest.mark.postgres
@pytest.mark.django_db
def test_counters_of_long_ago_are_forgotten(installer):
    wrong(asking("tablet"), installer, Kind.PASSWORD)
    forget_old_tries()
    assert TryCount.objects.exists()
    TryCount.objects.update(since="2001-01-01T00:00:00Z")
    forget_old_tries()
    assert not TryCount.objects.exists()


@pytest.mark.django_db
def test_the_present_password_on_one_s_own_page_is_counted_too(client, installer):
    client.force_login(installer)
    typed = {"key": "k" * 16, "now": "wrong", "pin": "4711"}
    said = [
        client.post("/own/change/", typed).content.decode() for _ in range(MOST + 1)
    ]
    assert "This is not your password." in said[0]
    assert "Too many tries" in said[-1]
