"""Bays, local code, data sheets, storage spots, and the shop's safety page."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.utils import timezone

from mixing.air.hazard_queries import shelf_check
from mixing.models import Chemical, StockContainer, StorageSpot, Substance
from mixing.rule_sets.queries import rules_of
from mixing.safety.rules import safety_rules
from mixing.safety.states import State
from mixing.shelf.data_sheet_queries import flammable_category_of, prep_use
from shopapp.models import Bay, Shop, shop_date, the_shop
from tests.makers import make_bay, make_bench, make_container, make_workorder

pytestmark = pytest.mark.django_db
KEY = "k" * 16
BAY = {
    "name": "Bay 1",
    "position": "1",
    "length_m": "7",
    "width_m": "5",
    "height_m": "3,6",
    "exhaust_m3_per_h": "950",
    "exhaust_measured_on": "2026-01-10",
    "exhaust_method": "anemometer",
    "mixing_factor": "3",
    "mixing_factor_basis": "k",
    "floor_drain": "yes",
}
SHEET = {"name": "wipe", "substance": "wipe", "strength_pct": "50"}


def post(client, url, **data):
    return client.post(url, {"key": KEY, **data})


def test_a_bay_keeps_what_was_measured(client, manager):
    client.force_login(manager)
    answer = post(client, "/settings/bays/add/", **BAY)
    assert answer.status_code == 303
    bay = Bay.objects.get()
    assert bay.volume_m3 == pytest.approx(126)
    assert (bay.exhaust_m3_per_h, bay.mixing_factor, bay.floor_drain) == (950, 3, True)


def test_feet_and_cfm_are_read_where_the_shop_measures_so(client, manager):
    """1 ft = 0.3048 m and 1 cfm = 1.699 m3/h: NIST Handbook 44, appendix C."""
    Shop.objects.update(units="us")
    client.force_login(manager)
    post(client, "/settings/bays/add/", **BAY | {"length_m": "20", "height_m": "12"})
    bay = Bay.objects.get()
    assert bay.length_m == pytest.approx(6.096)
    assert bay.exhaust_m3_per_h == pytest.approx(950 * 1.699011, rel=1e-5)


@pytest.mark.parametrize(
    ("typed", "told"),
    [
        ({"exhaust_m3_per_h": "0"}, "Enter 1 to 200000 m³/h."),
        ({"exhaust_m3_per_h": "-5"}, "Enter 1 to 200000 m³/h."),
        ({"mixing_factor": "0.3"}, "A mixing factor K lies between 1 and 10"),
        ({"mixing_factor_basis": ""}, "Say what the number means."),
        ({"mixing_factor": "300 %"}, "A K is not a percentage."),
        (
            {"mixing_factor": "300 %", "mixing_factor_basis": "efficiency"},
            "A mixing efficiency lies between 0.1 and 1",
        ),
        ({"mixing_factor": ""}, "Type the number, or choose"),
        (
            {"length_m": "60", "width_m": "60", "height_m": "14"},
            "These sides make 50400 m³. A bay has 10 m³ to 10000 m³",
        ),
        ({"width_m": ""}, "Enter all three sides, or none"),
        ({"exhaust_measured_on": "2999-01-01"}, "This day has not come yet."),
        ({"length_m": "wide"}, "Enter a number."),
    ],
)
def test_a_bay_that_cannot_be_comes_back_as_typed(client, manager, typed, told):
    client.force_login(manager)
    answer = post(client, "/settings/bays/add/", **BAY | typed)
    assert answer.status_code == 422
    page = answer.content.decode()
    assert told in page
    assert all(
        f'value="{text}"' in page for text in typed.values() if text[:1].isdigit()
    )
    assert not Bay.objects.exists()


def test_every_slip_of_a_bay_is_named_at_once(client, manager):
    client.force_login(manager)
    slips = {"exhaust_m3_per_h": "0", "mixing_factor": "0,5", "height_m": ""}
    page = post(client, "/settings/bays/add/", **BAY | slips).content.decode()
    for told in ("Enter 1 to", "A mixing factor K lies", "Enter all three sides"):
        assert told in page


def test_a_bay_in_feet_and_cfm_is_refused_in_feet_and_cfm(client, manager):
    """1 cfm = 1.699 m3/h, 1 m3 = 35.3147 ft3: NIST Handbook 44, appendix C."""
    Shop.objects.update(units="us")
    client.force_login(manager)
    sides = {"length_m": "190", "width_m": "190", "height_m": "49"}
    page = post(client, "/settings/bays/add/", **BAY | sides).content.decode()
    assert "These sides make 1768900 ft³." in page
    flow = {"exhaust_m3_per_h": "0"}
    page = post(client, "/settings/bays/add/", **BAY | flow).content.decode()
    assert "Enter 1 to 117716 cfm." in page


def test_a_third_by_efficiency_shows_as_k_three(client, manager):
    client.force_login(manager)
    facts = {"mixing_factor": "25 %", "mixing_factor_basis": "efficiency"}
    post(client, "/settings/bays/add/", **BAY | facts)
    assert Bay.objects.get().mixing_factor == 0.25
    page = client.get("/settings/bays/").content.decode()
    assert "efficiency 0.25, that is K 4" in page


def test_a_bay_without_a_flow_reads_not_assessed(client, manager):
    make_bay(exhaust_m3_per_h=None)
    client.force_login(manager)
    assert "NOT ASSESSED" in client.get("/settings/bays/").content.decode()


def test_the_local_code_is_kept_and_its_limits_name_their_source(client, manager):
    client.force_login(manager)
    facts = {
        "vapour_limit_ppm": "400",
        "jurisdiction": "United States",
        "fire_official": "the fire office of the town",
        "rinse_water": "no leftovers",
    }
    answer = post(client, "/settings/local-code/change/", **facts)
    assert answer.status_code == 303
    assert the_shop().vapour_limit_ppm == 400
    page = client.get("/settings/local-code/").content.decode()
    assert "29 CFR 1910.1000 Table Z-1" in page


@pytest.mark.parametrize("typed", ["0", "50000", "some"])
def test_a_limit_that_cannot_be_is_refused(client, manager, typed):
    client.force_login(manager)
    facts = {"vapour_limit_ppm": typed, "jurisdiction": "United States"}
    answer = post(client, "/settings/local-code/change/", **facts)
    assert answer.status_code == 422
    assert the_shop().vapour_limit_ppm == 200


@pytest.fixture
def wipe():
    return Chemical.objects.create(name="wipe", substance=Substance.WIPE)


def test_a_data_sheet_is_kept_with_its_file(client, manager, wipe):
    client.force_login(manager)
    file = SimpleUploadedFile("sheet.pdf", b"%PDF-1.4 a sheet", "application/pdf")
    facts = SHEET | {
        "strength_basis": "vv",
        "hazard_codes": "H225, H319",
        "flash_point_c": "18",
        "boiling_point_c": "82",
        "sheet_dated": "2026-01-05",
        "sheet_file": file,
    }
    url = f"/mixing/chemicals/{wipe.pk}/change/"
    assert post(client, url, **facts).status_code == 303
    wipe.refresh_from_db()
    assert wipe.sheet_file.content_type == "application/pdf"
    assert flammable_category_of(wipe, rules=safety_rules()) == 2
    served = client.get(f"/files/{wipe.sheet_file.sha256}/")
    assert served.content == b"%PDF-1.4 a sheet"


@pytest.mark.parametrize(
    ("typed", "told"),
    [
        (
            {"hazard_codes": "H225", "flash_point_c": "30"},
            "A flash point of 30 °C belongs to category 3, not category 2.",
        ),
        (
            {"hazard_codes": "H226", "flash_point_c": "10"},
            "A flash point of 10 °C belongs to category 1 or 2, not category 3.",
        ),
        ({"flash_point_c": "18"}, "the category needs the boiling point"),
        ({"lel_pct": "80"}, "Enter 0.1 to 50."),
        ({"volatile_pct": "120"}, "Enter 0 to 100."),
    ],
)
def test_a_data_sheet_that_cannot_be_comes_back(client, manager, wipe, typed, told):
    client.force_login(manager)
    facts = SHEET | {"strength_basis": "vv", **typed}
    url = f"/mixing/chemicals/{wipe.pk}/change/"
    answer = post(client, url, **facts)
    assert answer.status_code == 422
    assert told in answer.content.decode().replace("&nbsp;", " ")


def test_a_number_of_the_sheet_is_not_rounded_by_looking_at_it(client, manager, wipe):
    Chemical.objects.update(lel_pct=2.55, limit_ppm=0.5, molar_mass_g_per_mol=60.095)
    client.force_login(manager)
    form = client.get(f"/mixing/chemicals/{wipe.pk}/").context["form"]
    names = ("lel_pct", "limit_ppm", "molar_mass_g_per_mol")
    facts = {name: form[name].value() for name in names}
    page = client.get(f"/mixing/chemicals/{wipe.pk}/").content.decode()
    assert 'value="2.55"' in page
    facts |= SHEET | {"strength_basis": "vv"}
    post(client, f"/mixing/chemicals/{wipe.pk}/change/", **facts)
    wipe.refresh_from_db()
    assert (wipe.lel_pct, wipe.limit_ppm) == (2.55, 0.5)


def test_a_file_that_is_no_sheet_is_refused(client, manager, wipe):
    client.force_login(manager)
    facts = SHEET | {"strength_basis": "vv"}
    facts["sheet_file"] = SimpleUploadedFile("sheet.exe", b"MZ not a sheet")
    url = f"/mixing/chemicals/{wipe.pk}/change/"
    assert post(client, url, **facts).status_code == 422
    wipe.refresh_from_db()
    assert wipe.sheet_file is None


def test_a_low_flash_point_alone_leaves_the_category_open(wipe):
    wipe.flash_point_c = 18.0
    assert flammable_category_of(wipe, rules=safety_rules()) is None
    assert prep_use(wipe, litres=0.1, rules=safety_rules()).category is None


def test_everybody_reads_the_data_sheets_and_only_a_manager_writes(
    client, installer, wipe
):
    client.force_login(installer)
    assert client.get(f"/mixing/chemicals/{wipe.pk}/").status_code == 200
    url = f"/mixing/chemicals/{wipe.pk}/change/"
    assert post(client, url, **SHEET).status_code == 403


def test_a_shelf_without_a_fire_area_is_asked_for_one(client, manager):
    client.force_login(manager)
    answer = post(client, "/mixing/spots/add/", name="S1", form="shelf")
    assert answer.status_code == 422
    assert "in which fire area" in answer.content.decode()
    assert not StorageSpot.objects.exists()


def test_a_container_put_in_a_cabinet_is_summed_there(client, manager):
    make_container("C9", strength_pct=91.0, strength_basis="vv")
    Chemical.objects.update(hazard_codes="H225")
    assert shelf_check(rules_of(the_shop())).state is State.NOT_ASSESSED
    client.force_login(manager)
    post(client, "/mixing/spots/add/", name="Red cabinet", form="cabinet")
    facts = {"capacity_ml": "5000", "material": "metal", "approved": "yes"}
    spot = StorageSpot.objects.get()
    client.post("/mixing/stock/C9/change/", {"key": "m" * 16, "spot": spot.pk, **facts})
    check = shelf_check(rules_of(the_shop()))
    assert check.state is State.OK
    assert any(line.key.startswith("place:Red cabinet") for line in check.lines)


def test_a_room_goes_by_what_the_official_allows():
    room = StorageSpot.objects.create(name="Store", form="room", allowed_l=10)
    make_container("C9", material="metal", capacity_ml=18_000, spot=room)
    Chemical.objects.update(hazard_codes="H225")
    assert rules_of(the_shop()).storage.room_limits_l == (("Store", 10.0),)
    assert shelf_check(rules_of(the_shop())).state is State.OVER
    room.allowed_l = None
    room.save()
    assert shelf_check(rules_of(the_shop())).state is State.NOT_ASSESSED


def test_a_container_is_not_made_smaller_than_what_is_in_it(client, installer):
    make_container("C9")
    client.force_login(installer)
    answer = post(client, "/mixing/stock/C9/change/", capacity_ml="100")
    assert answer.status_code == 422
    assert "C9 holds more than that now." in answer.content.decode()
    assert StockContainer.objects.get().capacity_ml == 5000


def test_the_safety_page_names_what_is_not_entered_and_reads_never_ok(client, desk):
    make_bench()
    make_bay(exhaust_m3_per_h=None)
    make_workorder()
    client.force_login(desk)
    page = client.get("/safety/").content.decode()
    assert "NOT ASSESSED" in page
    assert "Location of C1: cabinet, storage room or fire area." in page
    assert "Bay 1: exhaust" in page
    assert "prep chemicals of recent orders" not in page


def test_with_a_measured_bay_the_week_still_asks_for_the_panel_wipe(client, desk):
    make_bench()
    make_bay()
    make_workorder()
    client.force_login(desk)
    page = client.get("/safety/").content.decode()
    assert "Prep chemicals used, or none" in page


def test_old_flows_and_old_sheets_are_named(client, desk, wipe):
    today = shop_date(timezone.now())
    make_bay(exhaust_measured_on=today - timedelta(days=400))
    Chemical.objects.update(sheet_dated=today - timedelta(days=5 * 365))
    client.force_login(desk)
    page = client.get("/safety/").content.decode()
    assert "400 days ago" in page
    assert "no file" in page


def test_the_register_holds_every_container_with_its_place(client, installer):
    spot = StorageSpot.objects.create(name="Red cabinet", form="cabinet")
    make_container("C9", spot=spot, material="metal")
    client.force_login(installer)
    page = client.get("/safety/register/").content.decode()
    assert "C9" in page
    assert "Red cabinet" in page
    assert "safety data sheet, the local code and licensed practice decide" in page
