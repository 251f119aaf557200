"""The settings of the bench: what they change on a sheet, and who set them."""

from __future__ import annotations

import pytest
from django.urls import reverse

from jobs.solutions.actions import make_sheet
from jobs.solutions.queries import mix_page
from jobs.solutions.request_queries import sheet_request
from jobs.stages.table import Stage
from mixing.climate.drying import Patch, open_time
from mixing.models import BenchSettings, Dispenser
from mixing.sheet import FillMode, Substance, mixing_sheet
from shopapp.frame import perform
from tests.makers import NOW, make_bench, make_reading, make_tap, make_workorder

pytestmark = pytest.mark.django_db

PAGE = "mixing:bench_settings"
NOTHING = dict.fromkeys(
    ("water_with", "alcohol_with", "soap_with", "gel_with")
    + ("patch_min", "patch_panel_c", "patch_air_c", "patch_rh_pct"),
    "",
)


@pytest.fixture
def order(client, installer, manager):
    make_bench()
    workorder = make_workorder(stage=Stage.INSTALL)
    make_reading(workorder, installer)
    client.force_login(manager)
    return workorder


def keep(client, key="k" * 16, **data):
    known = {"fill_mode": "measured", **NOTHING, **data, "key": key}
    return client.post(reverse("mixing:bench_change"), known)


def sheet_for(order):
    return mixing_sheet(sheet_request(order, at=NOW))


def test_filling_up_to_the_mark_is_set_once_for_all_sheets(client, order):
    assert keep(client, fill_mode="mark").status_code == 303
    sheet = sheet_for(order)
    assert sheet.request.fill_mode is FillMode.MARK
    slip = sheet.solutions[0].fills[0]
    assert [pour.to_mark for pour in slip.pours if pour.substance == "water"] == [True]


def test_a_dispenser_wanted_for_a_substance_is_the_one_on_the_sheet(client, order):
    jug = Dispenser.objects.create(
        name="big jug", form="jug", graduation_ml=50, capacity_ml=2000
    )
    assert keep(client, water_with=jug.pk).status_code == 303
    with_what = {
        pour.dispenser
        for solution in sheet_for(order).solutions
        for fill in solution.fills
        for pour in fill.pours
        if pour.substance is Substance.WATER
    }
    assert with_what == {"big jug"}


def test_a_dispenser_put_away_is_not_asked_for(client, order):
    jug = Dispenser.objects.create(
        name="big jug", form="jug", graduation_ml=50, capacity_ml=2000
    )
    keep(client, water_with=jug.pk)
    Dispenser.objects.filter(pk=jug.pk).update(in_use=False)
    assert sheet_for(order).request.preferred == ()


def test_soap_and_alcohol_are_never_read_from_one_syringe(client, order):
    syringe = Dispenser.objects.filter(form="syringe").first()
    answer = keep(client, alcohol_with=syringe.pk)
    assert answer.status_code == 422
    assert not BenchSettings.objects.exists()


def test_a_test_patch_gives_the_shops_own_minutes(client, order):
    # By definition the index of the patch's own air is 1: its minutes come back.
    keep(
        client,
        patch_min="9",
        patch_panel_c="31",
        patch_air_c="29",
        patch_rh_pct="62",
    )
    told = sheet_for(order).open_time
    assert told.calibrated
    assert told.open_time.value == pytest.approx(9)
    hot = open_time(
        air_c=35,
        rh_pct=30,
        panel_c=40,
        patch=Patch(minutes=9, air_c=29, rh_pct=62, panel_c=31),
    )
    assert hot.central_min < 9


def test_what_the_page_offers_is_kept_without_a_patch(client, order):
    """The last reading stands in the fields; the minutes are left empty."""
    offered = client.get(reverse(PAGE)).context["form"].initial
    reading = {name: str(offered[name]) for name in NOTHING if name in offered}
    assert reading
    assert keep(client, fill_mode="mark", **reading).status_code == 303
    row = BenchSettings.objects.get()
    assert (row.patch_min, row.patch_panel_c, row.patch_rh_pct) == (None, None, None)


def test_a_patch_without_its_reading_is_asked_for_it(client, order):
    answer = keep(client, patch_min="9", patch_panel_c="31")
    assert answer.status_code == 422
    page = answer.content.decode()
    assert "A test patch needs its minutes and its reading." in page
    assert 'value="9"' in page


def test_a_patch_that_did_not_dry_is_refused(client, order):
    # 5 °C panel in 25 °C air of 90 %: below the dew point (ASHRAE psychrometrics).
    answer = keep(
        client, patch_min="9", patch_panel_c="5", patch_air_c="25", patch_rh_pct="90"
    )
    assert "a film does not dry" in answer.content.decode()


def test_each_change_is_a_row_with_who_and_when(client, order, manager):
    keep(client, key="a" * 16, fill_mode="mark")
    keep(client, key="b" * 16)
    rows = list(BenchSettings.objects.all())
    assert [row.fill_mode for row in rows] == ["measured", "mark"]
    assert {row.made_by for row in rows} == {manager}
    with pytest.raises(RuntimeError):
        rows[0].save()
    page = client.get(reverse(PAGE)).content.decode()
    assert page.count("fill up to the mark</td>") == 1


def test_keeping_it_twice_makes_one_row(client, order):
    keep(client, fill_mode="mark")
    keep(client, fill_mode="mark")
    assert BenchSettings.objects.count() == 1


def test_a_sheet_kept_before_says_that_the_settings_changed(client, order, installer):
    perform(make_tap(installer), make_sheet, workorder_pk=order.pk)
    assert mix_page(order, at=NOW).changed == ()
    keep(client, fill_mode="mark")
    said = [str(sentence) for sentence in mix_page(order, at=NOW).changed]
    assert "The settings of the bench were changed: a new sheet follows them." in said


def test_an_installer_sees_the_settings_but_does_not_change_them(
    client, order, installer
):
    client.force_login(installer)
    page = client.get(reverse(PAGE)).content.decode()
    assert "A manager changes these." in page
    assert keep(client).status_code == 403
