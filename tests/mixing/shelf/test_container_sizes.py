"""The largest container of each material, bottles and sprayers among them."""

from __future__ import annotations

import pytest

from mixing.models import Chemical, Kind, Recipe, RecipeVersion, Substance
from tests.makers import make_bay, make_bench, make_container, make_vessel

pytestmark = pytest.mark.django_db
GALLON_ML = 3785.4


def safety(client):
    page = client.get("/safety/").content.decode()
    sizes = page.partition("Sizes of containers")[2]
    words = " ".join(sizes.replace("&nbsp;", " ").replace("\u202f", " ").split())
    return words.partition("</section>")[0]


def jug(**fields):
    container = make_container(
        "J1",
        Substance.ALCOHOL,
        strength_pct=70.0,
        strength_basis="vv",
        capacity_ml=GALLON_ML,
        left_ml=1000.0,
        **fields,
    )
    Chemical.objects.update(hazard_codes="H225")
    return container


def test_a_gallon_of_glass_is_not_judged_as_listed_plastic(client, manager):
    """1 qt for category 2 in glass: 29 CFR 1910.106 Table H-12."""
    make_bay()
    jug(material="glass", approved=True)
    client.force_login(manager)
    assert "listed plastic" not in safety(client)
    assert "OVER" in safety(client)


def test_that_metal_spoils_it_can_be_said(client, manager):
    """1910.106(d)(2)(iii)(a)(1): a gallon of glass where metal would spoil it."""
    jug(material="glass", approved=False)
    client.force_login(manager)
    page = client.get("/mixing/stock/J1/storage/").content.decode()
    assert "Metal would spoil it" in page
    facts = {"capacity_ml": str(GALLON_ML), "material": "glass", "metal_spoils": "on"}
    answer = client.post("/mixing/stock/J1/change/", {"key": "k" * 16, **facts})
    assert answer.status_code == 303
    assert "where metal would spoil" in safety(client)


def strong_tack():
    """The shop's own tack of 25 % v/v."""
    recipe = Recipe.objects.get(kind=Kind.TACK)
    last = RecipeVersion.objects.filter(recipe=recipe).order_by("-number").first()
    RecipeVersion.objects.create(
        recipe=recipe,
        number=last.number + 1,
        spec=last.spec | {"vv_pct": 25.0, "key": "tack-strong"},
        made_at=last.made_at,
    )


def test_a_sprayer_too_large_for_what_it_holds_is_said(client, manager):
    """25 % v/v counts as category 2: 1 qt of plastic (0.95 L)."""
    make_bench()
    make_vessel("T9", Kind.TACK, form="sprayer", capacity_ml=2000.0)
    strong_tack()
    client.force_login(manager)
    words = safety(client)
    assert "T9: " in words
    assert "Move it to a smaller or metal container." in words


def test_a_metal_sprayer_goes_by_its_own_row(client, manager):
    make_bench()
    vessel = make_vessel("T9", Kind.TACK, form="sprayer", capacity_ml=2000.0)
    strong_tack()
    client.force_login(manager)
    page = client.get("/mixing/vessels/T9/").content.decode()
    assert "Made of" in page
    facts = {
        "code": "T9",
        "kind": "tack",
        "form": "sprayer",
        "capacity_ml": "2000",
        "usable_ml": "1900",
        "material": "metal",
    }
    client.post("/mixing/vessels/T9/change/", {"key": "k" * 16, **facts})
    vessel.refresh_from_db()
    assert vessel.material == "metal"
    assert "T9" in safety(client).partition("within their sizes:")[2][:60]


def test_bottles_that_fit_are_one_line(client, manager):
    make_bench()
    client.force_login(manager)
    words = safety(client)
    assert "Bottles and sprayers within their sizes: " in words
    assert "S1" not in words
