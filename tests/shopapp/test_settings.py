"""What a manager sets: the shop, places, people; and one's own sign-in."""

from __future__ import annotations

import io

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile

from shopapp.actions import change_person
from shopapp.frame import Refused, perform
from shopapp.media import keep_document
from shopapp.models import Person, Place, SignIn, Submission, the_shop
from shopapp.one_time import Secret, password_for, pin_for
from tests.makers import PASSWORD, make_person, make_place, make_tap, make_workorder

pytestmark = pytest.mark.django_db
KEY = "k" * 16
SHOP = {
    "name": "Corner Film",
    "time_zone": "Europe/Berlin",
    "opens_at": "07:30",
    "closes_at": "16:30",
    "units": "us",
    "paper_size": "A4",
    "currency": "EUR",
}
PERSON = {"first_name": "Nia", "username": "nia", "is_installer": "on"}


def post(client, url, **data):
    return client.post(url, {"key": data.pop("key", KEY), **data})


@pytest.mark.parametrize(
    "url",
    [
        *("/settings/", "/settings/shop/", "/settings/people/", "/settings/places/"),
        *("/settings/bays/", "/settings/local-code/", "/settings/rules/"),
        *("/settings/acceptance/", "/settings/checklists/", "/settings/changes/"),
        "/settings/look/",
    ],
)
def test_a_manager_opens_every_page_of_the_settings_and_an_installer_none(
    client, manager, installer, url
):
    client.force_login(manager)
    assert client.get(url).status_code == 200
    client.force_login(installer)
    assert client.get(url).status_code == 403


def test_the_shop_keeps_what_was_typed(client, manager):
    client.force_login(manager)
    assert post(client, "/settings/shop/change/", **SHOP).status_code == 303
    shop = the_shop()
    assert (shop.name, shop.currency, shop.paper_size) == ("Corner Film", "EUR", "A4")


def test_an_hour_that_ends_before_it_begins_is_refused_at_its_field(client, manager):
    client.force_login(manager)
    answer = post(client, "/settings/shop/change/", **SHOP | {"closes_at": "06:00"})
    assert answer.status_code == 422
    assert "The shop closes after it opens." in answer.content.decode()
    assert 'value="Corner Film"' in answer.content.decode()
    assert the_shop().name != "Corner Film"


def test_a_change_tells_who_before_and_after(client, manager):
    client.force_login(manager)
    post(client, "/settings/shop/change/", **SHOP)
    page = client.get("/settings/changes/").content.decode()
    assert "USD → EUR" in page
    assert "metric → US customary" in page
    assert str(manager) in page


def test_a_place_is_added_once_though_pressed_twice(client, manager):
    client.force_login(manager)
    facts = {"name": "Back yard", "kind": "yard", "room_for": "3", "position": "2"}
    for _ in range(2):
        assert post(client, "/settings/places/add/", **facts).status_code == 303
    assert Place.objects.filter(name="Back yard").count() == 1


def test_a_place_with_a_car_in_it_is_not_closed(client, manager):
    yard = make_place()
    make_workorder(place=yard)
    client.force_login(manager)
    facts = {"name": "Yard", "kind": "yard", "room_for": "3", "position": "0"}
    url = f"/settings/places/{yard.pk}/change/"
    answer = post(client, url, **facts, retired="on")
    assert answer.status_code == 422
    assert "A car stands here." in answer.content.decode()


def test_a_new_person_gets_a_password_and_pin_shown_once(client, manager):
    client.force_login(manager)
    answer = post(client, "/settings/people/add/", **PERSON)
    person = Person.objects.get(username="nia")
    first = client.get(answer.url).content.decode()
    assert password_for(KEY) in first
    assert pin_for(KEY) in first
    assert password_for(KEY) not in client.get(answer.url).content.decode()
    assert person.check_password(password_for(KEY))
    assert person.knows_pin(pin_for(KEY))
    assert person.password_is_temporary


def test_no_record_of_a_press_holds_a_secret(client, manager):
    client.force_login(manager)
    post(client, "/settings/people/add/", **PERSON)
    row = Submission.objects.get(action="person.change")
    told = f"{row.answer} {row.subject} {row.fingerprint}"
    assert password_for(KEY) not in told
    assert "Nia" not in told


def test_a_secret_shows_itself_in_no_trace():
    assert "open sesame" not in repr(Secret("open sesame"))
    assert "open sesame" not in Secret("open sesame").to_json()
    assert Secret("a").to_json() != Secret("b").to_json()


def test_somebody_without_a_role_is_refused_at_the_roles(client, manager):
    client.force_login(manager)
    answer = post(client, "/settings/people/add/", first_name="Nia", username="nia")
    assert answer.status_code == 422
    assert "Choose at least one role." in answer.content.decode()


def test_the_last_manager_stays(client, manager):
    client.force_login(manager)
    facts = {"first_name": "Mara", "username": "mara", "is_desk": "on"}
    url = f"/settings/people/{manager.pk}/change/"
    answer = post(client, url, **facts, is_active="on")
    assert answer.status_code == 422
    assert "This is the only manager." in answer.content.decode()
    manager.refresh_from_db()
    assert manager.is_manager


def test_one_of_two_managers_may_go_and_is_signed_out(client, manager):
    other = make_person("manager", username="otto")
    SignIn.objects.create(person=other)
    client.force_login(manager)
    facts = {"first_name": "Otto", "username": "otto", "is_manager": "on"}
    url = f"/settings/people/{other.pk}/change/"
    assert post(client, url, **facts).status_code == 303
    other.refresh_from_db()
    assert not other.is_active
    assert not SignIn.objects.filter(person=other, ended_at=None).exists()


def test_a_new_pin_replaces_the_old_one(client, manager):
    other = make_person("installer", username="olga", pin="1111")
    client.force_login(manager)
    url = f"/settings/people/{other.pk}/renew/pin/"
    assert post(client, url).status_code == 303
    other.refresh_from_db()
    assert other.knows_pin(pin_for(KEY))
    assert not other.knows_pin("1111")
    assert not other.password_is_temporary


def test_an_installer_makes_no_passwords(client, installer):
    client.force_login(installer)
    url = f"/settings/people/{installer.pk}/renew/password/"
    assert post(client, url).status_code == 403


def test_who_signs_in_with_a_made_password_is_led_to_choose_one(client, installer):
    Person.objects.filter(pk=installer.pk).update(password_is_temporary=True)
    answer = client.post("/sign-in/", {"username": "ivan", "password": PASSWORD})
    assert answer.url == "/own/"


def test_one_s_own_password_is_changed_and_the_sign_in_goes_on(client, installer):
    client.force_login(installer)
    new = "another long password"
    answer = post(client, "/own/change/", now=PASSWORD, password=new, pin="4711")
    assert answer.status_code == 303
    installer.refresh_from_db()
    assert installer.check_password(new)
    assert installer.knows_pin("4711")
    assert client.get("/own/").status_code == 200


@pytest.mark.parametrize(
    ("typed", "told"),
    [
        ({"now": "wrong", "pin": "4711"}, "This is not your password."),
        ({"now": PASSWORD, "pin": "12"}, "A PIN is four to eight digits."),
        ({"now": PASSWORD, "password": "short"}, "too short"),
        ({"now": PASSWORD}, "Type a new password, a new PIN, or both."),
    ],
)
def test_one_s_own_page_says_what_is_wrong(client, installer, typed, told):
    client.force_login(installer)
    answer = post(client, "/own/change/", **typed)
    assert answer.status_code == 422
    assert told in answer.content.decode()
    installer.refresh_from_db()
    assert installer.check_password(PASSWORD)


def test_a_pdf_is_kept_as_it_is_and_a_text_is_refused():
    data = b"%PDF-1.4\n" + b"x" * 50
    assert keep_document(SimpleUploadedFile("a.pdf", data)).content_type == (
        "application/pdf"
    )
    with pytest.raises(Refused):
        keep_document(SimpleUploadedFile("a.pdf", io.BytesIO(b"hello").read()))


def test_two_managers_cannot_unmake_each_other(manager):
    from_one = make_tap(manager)
    other = make_person("manager", username="otto")
    facts = {"first_name": "x", "last_name": "", "is_desk": True, "is_active": True}
    skills = dict.fromkeys(["is_installer", "can_prep", "can_install"], False)
    facts |= skills | {"can_inspect": False, "is_manager": False}
    perform(from_one, change_person, person_pk=other.pk, username="otto", **facts)
    with pytest.raises(Refused, match="only manager"):
        perform(
            make_tap(other), change_person, person_pk=manager.pk, username="m", **facts
        )
