"""What a PIN opens, where, and when the password is asked for."""

from __future__ import annotations

import re
from datetime import datetime, timedelta

import pytest
from django.test import Client
from django.utils import timezone

from shopapp.access import ALLOWED, FRESH, SOON, WITHIN_THE_HOUR, may
from shopapp.models import (
    Device,
    FailedSignIn,
    Holiday,
    OpenDay,
    Person,
    Place,
    Role,
    SignIn,
    the_shop,
)
from shopapp.sessions import end_the_idle, is_over, opens
from tests.addresses import ROUTES
from tests.makers import PASSWORD, make_person

pytestmark = pytest.mark.django_db
KEY = "k" * 16
WORK = Device.Work


def signed_in(person: Person, *, work: str = "", by_pin: bool = False) -> Client:
    """A browser of its own at which the person is, enrolled or not."""
    client = Client()
    typed = {"username": person.username, "password": PASSWORD}
    assert client.post("/sign-in/", typed).status_code == 302
    Device.objects.filter(pk=client.session["device_pk"]).update(
        name=f"a {work} device" if work else "", pin_opens=work
    )
    if by_pin:
        person.set_pin("4711")
        person.save()
        pin = {"person": person.pk, "pin": "4711"}
        assert client.post("/switch/", pin).status_code == 302
    return client


def password_was(client: Client, ago: timedelta) -> None:
    pk = client.session["sign_in_pk"]
    SignIn.objects.filter(pk=pk).update(password_at=timezone.now() - ago)


def is_asked(answer) -> bool:
    """Whether it leads to the page of the password."""
    return answer.status_code == 302 and answer.url.startswith("/password/")


def hidden(page: str) -> dict[str, str]:
    return dict(re.findall(r'type="hidden" name="(\w+)" value="([^"]*)"', page))


def give(client: Client, page: str, password: str = PASSWORD, **more):
    typed = hidden(page) | {"password": password}
    return client.post("/password/", typed, **more)


# -- what a PIN opens ---------------------------------------------------------------


@pytest.mark.parametrize(
    ("work", "opened"),
    [
        (WORK.BAY, {Role.INSTALLER}),
        (WORK.DESK, {Role.INSTALLER, Role.DESK}),
    ],
)
def test_a_pin_opens_the_work_of_the_device_and_nothing_above_it(work, opened):
    everything = make_person("manager", "desk", "installer", username="mara")
    client = signed_in(everything, work=work, by_pin=True)
    refused = {"shopapp:live_ticket"}
    for route in ROUTES:
        allowed = ALLOWED.get(route.permission)
        if allowed is None or allowed & opened or route.name in refused:
            continue
        url = route.address(dict.fromkeys(route.arguments, 1))
        for method in route.methods:
            asked = client.generic(method, url, f"key={KEY}")
            assert is_asked(asked), f"{method} {url}: {asked.status_code}"


@pytest.mark.parametrize(("role", "opens_lay"), [("manager", True), ("desk", False)])
def test_a_pin_opens_nothing_that_the_person_may_not(role, opens_lay):
    person = make_person(role, username="pia")
    person.limited_to = frozenset({Role.INSTALLER})
    assert may(person, "panel.lay") == opens_lay
    assert may(person, "floor.view")
    assert not may(person, "booking.make")
    assert not may(person, "person.change")


def test_somebody_who_may_not_even_with_a_password_is_refused_and_not_asked():
    client = signed_in(make_person("installer"), work=WORK.BAY, by_pin=True)
    assert client.get("/settings/people/").status_code == 403


def test_the_password_opens_the_rest_for_a_while_on_a_tablet_of_many(manager):
    client = signed_in(manager, work=WORK.BAY, by_pin=True)
    asked = client.get("/settings/")
    assert is_asked(asked)
    page = client.get(asked.url).content.decode()
    assert "A PIN does not open this." in page
    assert give(client, page).url == "/settings/"
    assert client.get("/settings/").status_code == 200
    password_was(client, timedelta(minutes=16))
    assert is_asked(client.get("/settings/"))
    assert client.get("/floor/").status_code == 200


def test_wrong_passwords_there_are_counted_and_kept(manager):
    client = signed_in(manager, work=WORK.BAY, by_pin=True)
    for _ in range(10):
        answer = client.post("/password/", {"password": "wrong"})
        assert answer.status_code == 422
    answer = client.post("/password/", {"password": PASSWORD})
    assert "Too many tries" in answer.content.decode()
    row = FailedSignIn.objects.latest("pk")
    assert (row.person, row.kind, row.device.name) == (
        *(manager, FailedSignIn.Kind.PASSWORD),
        "a bay device",
    )


def test_the_rail_offers_the_password_only_to_whom_it_opens_more(manager):
    tablet = signed_in(manager, work=WORK.BAY, by_pin=True)
    assert 'href="/password/' in tablet.get("/floor/").content.decode()
    installer = make_person("installer", username="ivan")
    tablet = signed_in(installer, work=WORK.BAY, by_pin=True)
    assert 'href="/password/' not in tablet.get("/floor/").content.decode()


# -- fresh --------------------------------------------------------------------------


def test_people_exports_and_backups_ask_again_and_prices_and_rules_after_an_hour():
    always = {name for name, within in FRESH.items() if within == SOON}
    assert always >= {"person.change", "person.renew", "backup.ask", "film.export"}
    hourly = {name for name, within in FRESH.items() if within == WITHIN_THE_HOUR}
    assert hourly >= {"price.change", "rule.change", "rule.enforce"}
    assert set(FRESH) <= set(ALLOWED)


@pytest.mark.parametrize("permission", FRESH)
def test_what_is_marked_fresh_asks_on_the_page_and_on_the_press(permission, manager):
    client = signed_in(manager)
    password_was(client, FRESH[permission] + timedelta(seconds=1))
    for route in ROUTES:
        if route.permission == permission:
            url = route.address(dict.fromkeys(route.arguments, 1))
            for method in route.methods:
                assert is_asked(client.generic(method, url, f"key={KEY}")), url


def test_just_after_the_password_nothing_is_asked_again(manager):
    client = signed_in(manager)
    assert client.get("/settings/people/").status_code == 200
    assert client.get("/settings/backups/").status_code == 200


@pytest.mark.postgres
def test_a_press_waits_for_the_password_and_loses_nothing(manager):
    client = signed_in(manager)
    facts = {"first_name": "Nia", "username": "nia", "is_installer": "on"}
    password_was(client, timedelta(hours=1))
    typed = {"key": KEY, "opened_by": manager.pk, **facts}
    asked = client.post("/settings/people/add/", typed)
    page = client.get(asked.url).content.decode()
    assert "Nothing was kept yet" in page
    again = give(client, page, follow=True).content.decode()
    assert "data-send-now" in again
    sent = hidden(again)
    assert sent["first_name"] == "Nia"
    assert client.post("/settings/people/add/", sent).status_code == 303
    assert Person.objects.filter(username="nia").count() == 1


def test_a_press_of_a_script_is_led_to_the_password_whole(manager):
    client = signed_in(manager)
    password_was(client, timedelta(hours=1))
    headers = {"HX-Request": "true", "HX-Current-URL": "/settings/people/"}
    answer = client.post("/settings/people/add/", {"key": KEY}, headers=headers)
    assert answer.headers["HX-Redirect"].startswith("/password/")
    answer = client.get("/settings/people/", headers=headers)
    assert answer.headers["HX-Redirect"] == "/password/?next=%2Fsettings%2Fpeople%2F"


def test_a_clock_that_was_put_back_makes_no_old_password_a_new_one(manager):
    client = signed_in(manager)
    password_was(client, -timedelta(hours=3))
    assert is_asked(client.get("/settings/people/"))


# -- enrolling ----------------------------------------------------------------------


def test_a_manager_enrols_a_tablet_and_takes_it_off_again(manager):
    client, desk_pc = signed_in(manager), signed_in(manager)
    pk = client.session["device_pk"]
    facts = {"name": "bay tablet", "pin_opens": "bay"}
    url = f"/settings/devices/{pk}/"
    assert client.post(f"{url}enrol/", {"key": KEY, **facts}).status_code == 303
    tablet = Device.objects.get(pk=pk)
    assert (tablet.name, tablet.pin_opens) == ("bay tablet", "bay")
    assert tablet.enrolled_by == manager
    assert "bay tablet" in desk_pc.get("/settings/sign-ins/").content.decode()
    assert desk_pc.post(f"{url}revoke/", {"key": "r" * 16}).status_code == 303
    assert client.get("/floor/").status_code == 302
    assert desk_pc.get("/floor/").status_code == 200
    again = Client()
    again.cookies["device"] = client.cookies["device"].value
    manager.set_pin("4711")
    manager.save()
    typed = {"person": manager.pk, "pin": "4711"}
    assert again.post("/sign-in/", typed).status_code == 422


def test_two_devices_are_not_called_alike(manager):
    signed_in(manager, work=WORK.BAY)
    client = signed_in(manager)
    facts = {"key": KEY, "name": "a bay device", "pin_opens": "desk"}
    url = f"/settings/devices/{client.session['device_pk']}/enrol/"
    answer = client.post(url, facts)
    assert answer.status_code == 422
    assert "There is one of this name already." in answer.content.decode()
    answer = client.post(url, facts | {"name": "x", "pin_opens": "manager"})
    assert answer.status_code == 422


def test_the_manager_sees_wrong_tries_with_name_and_device_and_new_devices(manager):
    client = signed_in(manager)
    Client().post("/sign-in/", {"username": "mara", "password": "wrong"})
    Client().post("/sign-in/", {"username": "a secret", "password": "wrong"})
    page = client.get("/settings/sign-ins/").content.decode()
    assert "a device not seen before" in page
    assert "a name that nobody has" in page
    assert "a secret" not in page, "it may be a password in the wrong field"
    said = client.get("/settings/").content.decode()
    assert "2 wrong passwords or PINs since yesterday." in said
    assert "1 new device." in said


def test_on_the_floor_it_is_said_where_somebody_is_guessing(manager):
    client = signed_in(manager)
    sentence = "wrong passwords or PINs since yesterday"
    for n in range(9):
        FailedSignIn.objects.create(person=manager, address=f"192.0.2.{n}")
    assert sentence not in client.get("/floor/").content.decode()
    FailedSignIn.objects.create(person=manager)
    assert sentence in client.get("/floor/").content.decode()


def test_whoever_still_has_an_easy_pin_is_told(manager):
    client = signed_in(manager, work=WORK.BAY)
    manager.set_pin("1234")
    manager.save()
    typed = {"person": manager.pk, "pin": "1234"}
    page = client.post("/switch/", typed, follow=True).content.decode()
    assert "Your PIN is easy to guess." in page


# -- how long it lasts --------------------------------------------------------------


def at(hour: int, minute: int = 0, *, day: int = 4) -> datetime:
    """A moment of a Tuesday in May; the shop is open from 8 to 18."""
    return datetime(2027, 5, day, hour, minute, tzinfo=the_shop().zone)


def lasting(work: str, *, seen_at: datetime, by_pin: bool = False) -> SignIn:
    device = Device.objects.create(pin_opens=work, key_hash=work)
    password_at = None if by_pin else seen_at
    return SignIn(
        person=make_person("desk"), device=device, seen_at=seen_at,
        password_at=password_at,
    )  # fmt: skip


def test_a_device_that_is_not_enrolled_is_out_after_two_idle_hours():
    row = lasting("", seen_at=at(9))
    assert not is_over(row, now=at(11))
    assert is_over(row, now=at(11, 1))


def test_an_enrolled_one_stays_in_the_opening_hours_and_not_after_them():
    row = lasting(WORK.BAY, seen_at=at(8, 5), by_pin=True)
    assert not is_over(row, now=at(17, 59))
    assert is_over(row, now=at(18, 1))
    row.seen_at = at(17, 50)
    assert not is_over(row, now=at(18, 15)), "somebody works on"
    assert is_over(row, now=at(8, 5, day=5)), "the next morning"


def test_a_closed_day_has_no_opening_hours():
    row = lasting(WORK.BAY, seen_at=at(9), by_pin=True)
    holiday = Holiday.objects.create(day=at(9).date())
    assert is_over(row, now=at(10))
    holiday.delete()
    OpenDay.objects.update_or_create(weekday=1, defaults={"is_open": False})
    assert is_over(row, now=at(10))


def test_by_pin_it_ends_with_the_enrolment():
    row = lasting(WORK.BAY, seen_at=at(9), by_pin=True)
    assert not is_over(row, now=at(9))
    row.device.pin_opens = ""
    assert is_over(row, now=at(9))


def test_the_desk_s_pc_opens_the_desk_s_work_by_pin():
    row = lasting(WORK.DESK, seen_at=at(9), by_pin=True)
    assert opens(row, now=at(9)) == {Role.DESK, Role.INSTALLER}
    row.password_at = at(9)
    assert opens(row, now=at(9, 59)) is None
    assert opens(row, now=at(10)) == {Role.DESK, Role.INSTALLER}


def test_who_comes_back_too_late_signs_in_again_and_the_press_waits(manager):
    client = signed_in(manager)
    SignIn.objects.update(seen_at=timezone.now() - timedelta(hours=3))
    facts = {"key": KEY, "opened_by": manager.pk, "name": "Yard", "kind": "yard"}
    facts |= {"room_for": "3", "position": "0"}
    answer = client.post("/settings/places/add/", facts)
    assert answer.url.startswith("/sign-in/")
    assert SignIn.objects.get().ended_at is not None
    sent = hidden(client.get(answer.url).content.decode())
    typed = sent | {"username": "mara", "password": PASSWORD}
    again = client.post("/sign-in/", typed, follow=True).content.decode()
    client.post("/settings/places/add/", hidden(again))
    assert Place.objects.get().name == "Yard"


def test_a_page_that_asks_by_itself_keeps_nobody_signed_in(manager):
    client = signed_in(manager)
    long_ago = timezone.now() - timedelta(hours=1)
    SignIn.objects.update(seen_at=long_ago)
    client.get("/floor/", headers={"If-None-Match": '"x"'})
    client.get("/live/ticket/floor/")
    assert SignIn.objects.get().seen_at == long_ago
    client.get("/floor/")
    assert SignIn.objects.get().seen_at > long_ago


@pytest.mark.postgres
def test_a_clock_ends_what_was_left_idle_for_its_open_pages(manager):
    signed_in(manager)
    assert end_the_idle(now=timezone.now()) == 0
    assert end_the_idle(now=timezone.now() + timedelta(hours=3)) == 1
    assert SignIn.objects.get().ended_at is not None


# -- one's own ----------------------------------------------------------------------


def test_own_sign_ins_are_listed_and_ended_and_no_others(manager, desk):
    here, there, other = signed_in(manager), signed_in(manager), signed_in(desk)
    page = here.get("/own/").content.decode()
    pk = there.session["sign_in_pk"]
    assert page.count("/end/") == 1
    assert f"/own/sign-ins/{pk}/end/" in page
    url = f"/own/sign-ins/{other.session['sign_in_pk']}/end/"
    assert here.post(url, {"key": KEY}).status_code == 422
    answer = here.post(f"/own/sign-ins/{pk}/end/", {"key": "e" * 16})
    assert answer.status_code == 303
    assert there.get("/floor/").status_code == 302
    assert other.get("/floor/").status_code == 200
    assert here.get("/floor/").status_code == 200


@pytest.mark.postgres
def test_a_new_password_ends_the_other_sign_ins(manager):
    here, there = signed_in(manager), signed_in(manager)
    typed = {"key": KEY, "now": PASSWORD, "password": "three wet words"}
    assert here.post("/own/change/", typed).status_code == 303
    assert here.get("/floor/").status_code == 200
    assert there.get("/floor/").status_code == 302
    assert SignIn.objects.filter(ended_at=None).count() == 1


def test_a_made_password_opens_nothing_before_another_is_chosen(installer):
    Person.objects.filter(pk=installer.pk).update(password_is_temporary=True)
    client = signed_in(installer)
    for url in ("/", "/floor/", "/work/", "/switch/"):
        answer = client.get(url)
        assert answer.status_code == 302, url
        assert answer.url.startswith("/own/"), url
    page = client.get("/own/").content.decode()
    assert "before that nothing else opens" in page
    typed = {"key": KEY, "now": PASSWORD, "password": PASSWORD}
    answer = client.post("/own/change/", typed)
    assert "This is the one you have." in answer.content.decode()
    typed = {"key": KEY, "now": PASSWORD, "password": "three wet words"}
    assert client.post("/own/change/", typed).status_code == 303
    assert client.get("/floor/").status_code == 200


def test_a_form_without_its_token_is_answered_in_words(manager):
    careful = Client(enforce_csrf_checks=True)
    answer = careful.post("/sign-in/", {"username": "mara", "password": PASSWORD})
    assert answer.status_code == 403
    assert "This page is out of date" in answer.content.decode()
