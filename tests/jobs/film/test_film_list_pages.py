"""Lists of film: looked over, taken in, given out."""

from __future__ import annotations

import re

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from jobs.models import FilmMovement, Roll
from tests.jobs.pulling import confirm, plan
from tests.makers import make_booking, make_film, make_roll, make_workorder

pytestmark = pytest.mark.django_db
KEY = {"key": "k" * 16}


@pytest.fixture
def roll(db):
    return make_roll(make_film(reorder_below_mm=5000), left_mm=40_000)


@pytest.fixture
def order(roll, manager):
    return make_workorder(manager, booking=make_booking(manager, film=roll.film))


def upload(client, text, kind="rolls", **encoding):
    data = text if isinstance(text, bytes) else text.encode()
    file = SimpleUploadedFile("list.csv", data, content_type="text/csv")
    return client.post(
        reverse("jobs:film_list_look"), {**KEY, "kind": kind, "file": file}
    )


LIST = "code,film,width_mm,length_m\nR8,FA,1524,15\nR9,FX,1524,15\n"


def test_a_list_is_looked_over_before_anything_is_written(client, roll, desk):
    client.force_login(desk)
    page = upload(client, LIST).content.decode()
    assert "There is no film FX." in page
    assert "Take in 1 row" in page
    assert Roll.objects.count() == 1
    url = reverse("jobs:rolls_receive")
    response = client.post(url, {**KEY, "kind": "rolls", "text": LIST})
    assert response.status_code == 303
    assert Roll.objects.get(code="R8").left_mm == 15_000
    assert not Roll.objects.filter(code="R9").exists()


def test_a_list_pressed_twice_is_taken_in_once(client, roll, desk):
    client.force_login(desk)
    url = reverse("jobs:rolls_receive")
    data = {**KEY, "kind": "rolls", "text": LIST}
    client.post(url, data)
    client.post(url, data)
    assert FilmMovement.objects.filter(roll__code="R8").count() == 1


def test_a_list_saved_in_windows_is_shown_and_read_again_as_chosen(client, roll, desk):
    client.force_login(desk)
    text = "code,film,width_mm,length_m,location\nR8,FA,1524,15,Łódź\n"
    page = upload(client, text.encode("cp1250")).content.decode()
    assert "Line 2 is not in UTF-8." in page
    assert "Windows (Western)" in page
    assert "Łódź" not in page
    kept = re.search(r'name="kept" hidden>([^<]+)<', page)[1]
    data = {**KEY, "kind": "rolls", "kept": kept, "saved_as": "cp1250"}
    again = client.post(reverse("jobs:film_list_look"), data).content.decode()
    assert "Łódź" in again
    assert "is not in UTF-8" not in again
    assert "Take in 1 row" in again


@pytest.mark.parametrize(
    ("data", "said"),
    [
        (b"", "The submitted file is empty."),
        (b"PK\x03\x04rest", "This is a spreadsheet, not a CSV"),
        (b"x" * 5_000_000, "This file is too large"),
        (b"code,name\nFA,film A\n", "the columns of a list of films"),
    ],
)
def test_a_file_that_is_no_list_gets_a_sentence(client, roll, desk, data, said):
    client.force_login(desk)
    response = upload(client, data)
    assert response.status_code == 422
    assert said in response.content.decode()


def test_no_file_at_all_gets_a_sentence(client, roll, desk):
    client.force_login(desk)
    data = {**KEY, "kind": "rolls"}
    assert client.post(reverse("jobs:film_list_look"), data).status_code == 422


def test_the_desk_is_given_no_cost_of_film(client, roll, desk, manager):
    for who, sees in ((desk, False), (manager, True)):
        client.force_login(who)
        for name in ("film_stock_csv", "films_csv"):
            heads = client.get(reverse(f"jobs:{name}")).content.decode().split("\r")[0]
            assert ("cost_per" in heads) is sees


def test_stock_and_movements_leave_as_lists(client, order, roll, manager):
    client.force_login(manager)
    confirm(client, plan(client, order))
    stock = client.get(reverse("jobs:film_stock_csv")).content.decode("utf-8-sig")
    assert "roll,R1,FA,L-1,1524" in stock
    moved = client.get(reverse("jobs:film_movements_csv")).content.decode("utf-8-sig")
    assert "pulled,FA,R1" in moved
    assert order.number in moved
