"""Input that no browser sends is answered in a sentence, and leaves nothing behind."""

from __future__ import annotations

import pytest
from django.test import Client
from django.urls import reverse

from shopapp.models import Submission
from tests.makers import make_person

pytestmark = [pytest.mark.django_db, pytest.mark.postgres]
KEY = "a-key-of-this-press"


@pytest.fixture
def client():
    found = Client(raise_request_exception=False)
    found.force_login(make_person("manager", "desk", "installer"))
    return found


def place(**more: str) -> dict[str, str]:
    typed = {"name": "North yard", "kind": "yard", "room_for": "3", "position": "4"}
    return {"key": KEY, **typed, **more}


@pytest.mark.parametrize("moment", ["²", "99999999999999", "9" * 13, "-5", "\0", "1e9"])
@pytest.mark.parametrize("name", ["done_at", "sent_at"])
def test_a_moment_that_is_none_is_now(client, name, moment):
    answer = client.post(reverse("shopapp:place_add"), place(**{name: moment}))
    assert answer.status_code == 303


@pytest.mark.parametrize("key", ["a-key\0of-this-press", "²" * 20, "k" * 65, ""])
def test_a_key_that_no_page_gave_is_a_page_out_of_date_or_is_taken(client, key):
    answer = client.post(reverse("shopapp:place_add"), place(key=key))
    assert answer.status_code in {303, 422}
    assert Submission.objects.count() == (answer.status_code == 303)


@pytest.mark.parametrize("name", ["name", "room_for", "kind"])
@pytest.mark.parametrize("text", ["\0", "a\0b", "\ud7ff\u0000", "²"])
def test_a_zero_byte_in_a_field_is_refused_at_the_field(client, name, text):
    answer = client.post(reverse("shopapp:place_add"), place(**{name: text}))
    assert answer.status_code in {303, 422}


@pytest.mark.parametrize(
    "charset", ["utf-16", "utf-16-le", "utf-32", "utf-7", "punycode", "idna", "hex"]
)
@pytest.mark.parametrize("name", ["shopapp:place_add", "shopapp:sign_in"])
def test_a_charset_that_no_browser_sends_is_refused(client, name, charset):
    answer = client.generic(
        "POST",
        reverse(name),
        b"key=a-key-of-this-press&name=\xff\xfe\x00\xd8&username=%ff",
        content_type=f"application/x-www-form-urlencoded; charset={charset}",
    )
    assert answer.status_code == 415
    assert not Submission.objects.exists()


@pytest.mark.parametrize("charset", ["utf-16", "punycode", "hex"])
def test_the_same_in_a_form_with_files(client, charset):
    body = b'--x\r\nContent-Disposition: form-data; name="key"\r\n\r\n\xff\r\n--x--\r\n'
    answer = client.generic(
        "POST",
        reverse("shopapp:place_add"),
        body,
        content_type=f"multipart/form-data; boundary=x; charset={charset}",
    )
    assert answer.status_code == 415


@pytest.mark.parametrize("query", ["?done=²", "?after=²", "?page=²", "?q=%00", "?at=²"])
@pytest.mark.parametrize(
    "page", ["/floor/", "/bookings/", "/find/", "/film/", "/plan/"]
)
def test_a_page_takes_no_harm_from_its_address(client, page, query):
    assert client.get(f"{page}{query}").status_code in {200, 404}
