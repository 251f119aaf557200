"""Signing in, switching and signing out."""

from __future__ import annotations

import pytest

from shopapp.models import Device, Revision, SignIn, TryCount
from tests.makers import PASSWORD, make_person

pytestmark = pytest.mark.django_db
IN = "/sign-in/"


def _sign_in(client, name="mara", password=PASSWORD, **more):
    return client.post(IN, {"username": name, "password": password, **more})


def test_a_name_and_its_password_sign_in_and_lead_on(client, manager):
    response = _sign_in(client)
    assert response.status_code == 302
    assert response["Location"] == "/"
    assert SignIn.objects.get().person == manager
    assert client.session["device_pk"] == Device.objects.get().pk


def test_a_wrong_password_says_so_and_keeps_the_name(client, manager):
    response = _sign_in(client, password="not it at all")
    page = response.content.decode()
    assert response.status_code == 422
    assert "do not go together" in page
    assert 'value="mara"' in page
    assert not SignIn.objects.exists()


def test_an_unknown_name_reads_like_a_wrong_password(client, manager):
    known = _sign_in(client, password="wrong").content.decode()
    unknown = _sign_in(client, name="nobody", password="wrong").content.decode()
    sentence = "This name and password do not go together."
    assert sentence in known
    assert sentence in unknown


def test_after_too_many_tries_the_right_password_waits_too(client, manager, settings):
    settings.SIGN_IN_TRIES = 3
    for _ in range(3):
        _sign_in(client, password="wrong")
    response = _sign_in(client)
    assert "Too many tries" in response.content.decode()
    assert not SignIn.objects.exists()


def test_tries_are_counted_for_one_name_only(client, manager, desk, settings):
    settings.SIGN_IN_TRIES = 3
    for _ in range(3):
        _sign_in(client, name="dora", password="wrong")
    assert _sign_in(client).status_code == 302


def test_old_tries_are_forgotten(client, manager, settings):
    settings.SIGN_IN_TRIES = 3
    for _ in range(3):
        _sign_in(client, password="wrong")
    TryCount.objects.update(since="2001-01-01T00:00:00Z")
    assert _sign_in(client).status_code == 302


def test_signing_in_never_leads_to_another_site(client, manager):
    response = _sign_in(client, next="https://example.com/")
    assert response["Location"] == "/"


def test_signing_in_leads_on_to_the_page_that_was_wanted(client, manager):
    assert _sign_in(client, next="/trust/")["Location"] == "/trust/"


def test_signing_out_ends_the_sign_in_and_moves_the_revision(client, manager):
    _sign_in(client)
    before = Revision.objects.get().number
    assert client.post("/sign-out/").status_code == 302
    assert SignIn.objects.get().ended_at is not None
    assert Revision.objects.get().number == before + 1
    assert client.get("/").status_code == 302


def test_signing_out_twice_does_no_harm(client, manager):
    _sign_in(client)
    client.post("/sign-out/")
    number = Revision.objects.get().number
    assert client.post("/sign-out/").status_code == 302
    assert Revision.objects.get().number == number


def test_a_device_is_known_again_after_signing_out(client, manager):
    _sign_in(client)
    client.post("/sign-out/")
    _sign_in(client)
    assert Device.objects.count() == 1
    assert SignIn.objects.count() == 2


@pytest.fixture
def tablet(client, manager):
    """The client's browser, enrolled as a bay's tablet; the manager is at it."""
    _sign_in(client)
    Device.objects.update(name="bay tablet", pin_opens=Device.Work.BAY)
    return client


def test_a_tile_and_its_pin_switch_the_person_and_end_the_other(tablet):
    other = make_person("installer", username="ivan", pin="4711")
    first = SignIn.objects.get()
    response = tablet.post("/switch/", {"person": other.pk, "pin": "4711"})
    assert response.status_code == 302
    first.refresh_from_db()
    assert first.ended_at is not None
    assert SignIn.objects.get(ended_at=None).person == other
    assert SignIn.objects.get(ended_at=None).device == first.device


def test_a_wrong_pin_changes_nobody(tablet, manager):
    other = make_person("installer", username="ivan", pin="4711")
    response = tablet.post("/switch/", {"person": other.pk, "pin": "0000"})
    assert response.status_code == 422
    assert "not the PIN" in response.content.decode()
    assert SignIn.objects.get().person == manager


def test_a_person_without_a_pin_has_no_tile(tablet, manager, desk):
    response = tablet.post("/switch/", {"person": desk.pk, "pin": "4711"})
    assert response.status_code == 422
    assert SignIn.objects.get().person == manager


def test_on_a_device_that_is_not_enrolled_a_pin_opens_nothing(client, manager):
    other = make_person("installer", username="ivan", pin="4711")
    _sign_in(client)
    typed = {"person": other.pk, "pin": "4711"}
    assert client.post("/switch/", typed).status_code == 422
    assert "not enrolled" in client.get("/switch/").content.decode()
    client.post("/sign-out/")
    assert client.post("/sign-in/", typed).status_code == 422
    assert not SignIn.objects.filter(ended_at=None).exists()


def test_who_may_no_longer_work_here_cannot_sign_in(client):
    make_person("desk", username="gone", is_active=False)
    assert _sign_in(client, name="gone").status_code == 422


def test_the_password_is_kept_as_argon2():
    from shopapp import settings as ours

    assert ours.PASSWORD_HASHERS[0].endswith("Argon2Hasher")
