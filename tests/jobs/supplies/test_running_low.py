"""Blades, towels, soap: one tap says that they run low, and the desk orders."""

from __future__ import annotations

import pytest
from django.utils import timezone

from jobs.models import Supply
from jobs.supplies.actions import order_supply
from shopapp.frame import Refused, perform
from tests.makers import make_person, make_tap

pytestmark = pytest.mark.django_db
KEYS = iter(f"key-of-a-press-{number:04}" for number in range(9999))


@pytest.fixture
def chidi(client):
    client.force_login(person := make_person("installer", username="chidi"))
    return person


@pytest.fixture
def blades():
    return Supply.objects.get(name="blades")


def press(client, url, **typed):
    return client.post(url, {"key": next(KEYS), **typed})


def page_of(client, url="/running-low/"):
    return " ".join(client.get(url).content.decode().split())


def test_one_tap_puts_it_on_the_desks_list_with_who_said_so(client, chidi, blades):
    press(client, f"/running-low/{blades.pk}/low/")
    assert f"/running-low/{blades.pk}/low/" not in page_of(client)
    client.force_login(make_person("desk", username="ben"))
    page = page_of(client, "/calls/")
    assert "Order these" in page
    assert "<strong>Blades</strong>" in page
    assert "Chidi" in page


def test_the_first_who_said_it_stays(client, chidi, blades):
    press(client, f"/running-low/{blades.pk}/low/")
    client.force_login(make_person("installer", username="dara"))
    press(client, f"/running-low/{blades.pk}/low/")
    blades.refresh_from_db()
    assert blades.low_by == chidi


def test_ordered_it_waits_and_here_it_is_off_the_list(client, chidi, blades):
    for step in ("low", "order"):
        press(client, f"/running-low/{blades.pk}/{step}/")
    page = page_of(client)
    assert "ordered" in page
    assert f"/running-low/{blades.pk}/order/" not in page
    press(client, f"/running-low/{blades.pk}/here/")
    page = page_of(client)
    assert "Order these" not in page
    assert f"/running-low/{blades.pk}/low/" in page


def test_a_thing_that_is_not_on_the_list_is_typed_once(client, chidi):
    before = Supply.objects.count()
    for name in ("Squeegee  edges", "squeegee edges"):
        assert press(client, "/running-low/add/", name=name).status_code == 303
    assert Supply.objects.count() == before + 1
    assert Supply.objects.get(name="Squeegee edges").low_at is not None


def test_a_name_that_is_missing_or_long_is_said_and_kept(client, chidi):
    assert press(client, "/running-low/add/", name=" ").status_code == 422
    answer = press(client, "/running-low/add/", name="x" * 41)
    assert answer.status_code == 422
    assert "x" * 41 in answer.content.decode()


def test_what_is_here_is_not_ordered(chidi, blades):
    with pytest.raises(Refused, match="blades is here already"):
        perform(make_tap(chidi, at=timezone.now()), order_supply, supply_pk=blades.pk)
