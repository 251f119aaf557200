"""A data sheet's hazard codes: read however they are printed, never less than said."""

from __future__ import annotations

import pytest

from mixing.models import Chemical, StorageSpot, Substance
from tests.makers import make_container

pytestmark = pytest.mark.django_db
KEY = "k" * 16
ALCOHOL = {
    "name": "drum alcohol",
    "substance": "alcohol",
    "strength_pct": "99",
    "strength_basis": "vv",
    "sheet_dated": "2026-01-05",
}


def add(client, **typed):
    facts = {"key": KEY, **ALCOHOL, **typed}
    return client.post("/mixing/chemicals/add/", facts)


def shelf_says(client):
    """The row of the product on the page of data sheets."""
    page = client.get("/mixing/chemicals/").content.decode()
    return page.split("drum alcohol")[1].split("</tr>")[0]


def test_alcohol_without_a_code_is_classed_by_its_strength(client, manager):
    client.force_login(manager)
    assert add(client, hazard_codes="").status_code == 303
    assert "category 2" in shelf_says(client)


@pytest.mark.parametrize(
    "printed",
    [
        *("H225; H319; H336", "H225/H319", "H225+H319", "H 225", "225"),
        *("Flam. Liq. 2", "flammable liquid, category 2"),
    ],
)
def test_a_code_is_read_however_the_sheet_prints_it(client, manager, printed):
    client.force_login(manager)
    facts = {"hazard_codes": printed, "substance": "remover", "strength_pct": ""}
    add(client, **facts)
    assert "is-stop" in shelf_says(client)


@pytest.mark.parametrize("typed", ["hallo", "H999", "H225 hallo", "STOT SE 3"])
def test_what_is_not_understood_is_said_at_the_field(client, manager, typed):
    client.force_login(manager)
    answer = add(client, hazard_codes=typed)
    assert answer.status_code == 422
    page = answer.content.decode()
    assert f"Not understood: {typed.removeprefix('H225 ')}" in page
    assert f'value="{typed}"' in page
    assert not Chemical.objects.exists()


def test_alcohol_is_not_kept_as_harmless(client, manager):
    client.force_login(manager)
    answer = add(client, hazard_codes="none")
    assert answer.status_code == 422
    assert "alcohol burns" in answer.content.decode().replace("&nbsp;", " ")


def test_a_solvent_that_nobody_classed_is_not_known(client, manager):
    """A tar remover with a dated sheet and no code read from it."""
    client.force_login(manager)
    add(client, substance="remover", strength_pct="", hazard_codes="")
    assert "not known" in shelf_says(client)


def test_a_product_whose_sheet_names_no_hazard_says_so_in_a_word(client, manager):
    client.force_login(manager)
    add(client, substance="soap", strength_pct="", hazard_codes="not classified")
    row = shelf_says(client)
    assert "not known" not in row
    assert "none" in row


def test_what_was_kept_before_and_is_not_understood_is_named(client, manager):
    Chemical.objects.create(
        name="drum alcohol", substance="remover", hazard_codes="Xn, H225"
    )
    client.force_login(manager)
    row = shelf_says(client)
    assert "category 2" in row
    assert "not understood" in row


def test_two_drums_of_unread_alcohol_count_in_their_cabinet(client, manager):
    """2 x 200 L against 60 gal (227.12 L): 29 CFR 1910.106(d)(3)(i)."""
    cabinet = StorageSpot.objects.create(name="Red cabinet", form="cabinet")
    for code in ("D1", "D2"):
        make_container(code, capacity_ml=200_000, material="drum", spot=cabinet)
    Chemical.objects.update(
        substance=Substance.ALCOHOL,
        strength_pct=91.0,
        strength_basis="vv",
        sheet_dated="2026-01-05",
    )
    client.force_login(manager)
    page = client.get("/safety/").content.decode().replace("&nbsp;", " ")
    assert "not a flammable liquid" not in page
    assert "is more than" in page


def test_the_short_form_refuses_what_the_long_form_refuses(client, manager):
    client.force_login(manager)
    answer = add(client, hazard_codes="H226", flash_point_c="12")
    assert answer.status_code == 422
    said = "belongs to category 1 or 2, not category 3"
    assert said in answer.content.decode().replace("&nbsp;", " ")


def test_of_a_code_and_a_flash_point_that_disagree_the_graver_counts(client, manager):
    """Kept by the short form before it looked."""
    Chemical.objects.create(
        name="drum alcohol", substance="remover", hazard_codes="H226", flash_point_c=12
    )
    client.force_login(manager)
    assert "category 2" in shelf_says(client)
