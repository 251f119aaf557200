"""Film and its rolls, panel sizes: the pages as people press them."""

from __future__ import annotations

import pytest
from django.urls import reverse

from jobs.models import Film, MeasuredPanel, Roll
from shopapp.models import the_shop
from tests.makers import make_film, make_roll

pytestmark = pytest.mark.django_db
KEY = {"key": "k" * 16}


@pytest.fixture
def roll(db):
    return make_roll(make_film(reorder_below_mm=5000), left_mm=40_000)


def test_a_roll_is_received_in_the_shops_units(client, roll, desk):
    client.force_login(desk)
    shop = the_shop()
    shop.units = "us"
    shop.save()
    data = {
        **KEY,
        "film": roll.film_id,
        "code": "R8",
        "width_mm": "60",
        "length_mm": "50",
    }
    response = client.post(reverse("jobs:roll_receive"), data)
    assert response.status_code == 303
    new = Roll.objects.get(code="R8")
    assert (new.width_mm, new.left_mm) == (1524, 15_240)


def test_the_next_code_stands_there_already(client, roll, desk):
    make_roll(roll.film, code="R09")
    client.force_login(desk)
    assert 'value="R10"' in client.get(reverse("jobs:roll_new")).content.decode()


def test_a_roll_of_no_length_is_refused_and_stays_typed(client, roll, desk):
    client.force_login(desk)
    data = {**KEY, "film": roll.film_id, "code": "R8", "width_mm": "1524"}
    response = client.post(reverse("jobs:roll_receive"), {**data, "length_mm": "-4"})
    assert response.status_code == 422
    assert 'value="-4"' in response.content.decode()
    assert not Roll.objects.filter(code="R8").exists()


def test_only_a_manager_changes_a_film(client, roll, desk, manager):
    data = {
        **KEY,
        "code": "FA",
        "name": "film A",
        "finish": "gloss",
        "price_factor": "1",
        "wash_after_days": "7",
        "panel_min_c": "10",
        "panel_max_c": "8",
    }
    url = reverse("jobs:film_change", args=[roll.film_id])
    client.force_login(desk)
    assert client.post(url, data).status_code == 403
    client.force_login(manager)
    response = client.post(url, data)
    assert response.status_code == 422
    assert "below the lower limit" in response.content.decode()
    assert client.post(url, {**data, "panel_max_c": "32"}).status_code == 303
    assert Film.objects.get().panel_max_c == 32


def test_a_panel_measured_in_inches_is_kept_in_millimetres(client, installer):
    client.force_login(installer)
    data = {
        **KEY,
        "model": "Saloon",
        "body": "sedan",
        "size_class": "D",
        "panel": "hood",
        "length_mm": "43,5",
        "width_mm": "57",
        "unit": "in",
    }
    url = reverse("jobs:panel_size_add")
    assert client.post(url, data).status_code == 303
    row = MeasuredPanel.objects.get()
    assert (row.length_mm, row.width_mm) == (1105, 1448)
    response = client.post(url, {**data, "key": "j" * 16, "unit": "mm"})
    assert response.status_code == 422
    assert "measured in inches" in response.content.decode()


@pytest.mark.parametrize(
    "name", ["film", "roll_new", "panel_sizes", "film_list", "pull_day", "film_new"]
)
def test_every_film_page_opens(client, roll, name, manager):
    client.force_login(manager)
    assert client.get(reverse(f"jobs:{name}")).status_code == 200


def test_a_shop_without_film_is_led_to_its_first_one(client, manager):
    client.force_login(manager)
    page = client.get(reverse("jobs:film")).content.decode()
    assert "No film yet." in page
    assert reverse("jobs:roll_new") not in page
    page = client.get(reverse("jobs:roll_new")).content.decode()
    assert "There is no kind of film yet." in page
    assert reverse("jobs:film_new") in page
    assert reverse("jobs:roll_receive") not in page


def test_money_may_be_typed_with_a_comma(client, roll, manager):
    client.force_login(manager)
    data = {**KEY, "code": "FA", "name": "film A", "finish": "gloss"}
    data |= {"price_factor": "1,25", "cost_per_m2": "46,50", "wash_after_days": "7"}
    url = reverse("jobs:film_change", args=[roll.film_id])
    assert client.post(url, data).status_code == 303
    film = Film.objects.get()
    assert (str(film.price_factor), str(film.cost_per_m2)) == ("1.250", "46.50")
    # Neither thousands nor decimals: never guessed.
    response = client.post(url, {**data, "cost_per_m2": "1,23,4.50", "key": "j" * 16})
    assert response.status_code == 422
