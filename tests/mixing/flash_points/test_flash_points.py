"""A measured flash point is typed once and reaches everything that hangs on it."""

from __future__ import annotations

import re

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.utils import timezone

from jobs.air.prep_actions import use_prep
from jobs.papers.safety_facts import safety_facts
from jobs.solutions.actions import make_sheet, record_mix
from jobs.solutions.sheet_now_queries import sheet_now
from jobs.stages.table import Stage
from mixing.bench.label_facts import fill_label, kind_label
from mixing.flash_points.actions import enter_flash_point, withdraw_flash_point
from mixing.models import (
    Fill,
    FlashPoint,
    FlashPointWithdrawal,
    Recipe,
    Vessel,
)
from mixing.sheet.queries import sheet_of
from shopapp.frame import Refused, perform
from shopapp.models import Shop
from tests.makers import make_bay, make_bench, make_reading, make_tap, make_workorder

pytestmark = pytest.mark.django_db
KEY = "k" * 16
TYPED = {
    "vv_pct": "17,7",
    "flash_point_c": "31",
    "cup": "closed",
    "ground": "measured",
    "measured_by": "Town Lab",
    "measured_on": "2026-02-03",
}


@pytest.fixture
def tack():
    make_bench()
    return Recipe.objects.get(kind="tack")


@pytest.fixture
def signed_in(client, manager):
    client.force_login(manager)
    return client


def send(client, tack, **changes):
    version = tack.versions.all()[0]
    typed = {"key": KEY, "recipe_version": version.pk, **TYPED, **changes}
    return client.post(f"/mixing/recipes/{tack.pk}/flash-points/enter/", typed)


def enter(by, tack, **changes):
    facts = {
        "recipe_version": tack.versions.all()[0],
        "vv_pct": 17.7,
        "flash_point_c": 31.0,
        "cup": "closed",
        "ground": "measured",
        "measured_by": "Town Lab",
        "measured_on": timezone.localdate().replace(year=2026, month=2, day=3),
        **changes,
    }
    tap = make_tap(by, at=timezone.now())
    return perform(tap, enter_flash_point, recipe_pk=tack.pk, **facts)["pk"]


def test_a_value_is_kept_with_whose_word_it_is(signed_in, tack):
    file = SimpleUploadedFile("report.pdf", b"%PDF-1.4 report", "application/pdf")
    assert send(signed_in, tack, report=file).status_code == 303
    row = FlashPoint.objects.get()
    assert (row.vv_pct, row.flash_point_c, row.cup) == (17.7, 31.0, "closed")
    assert row.report is not None
    assert row.entered_by.username == "mara"
    page = signed_in.get(f"/mixing/recipes/{tack.pk}/flash-points/").content.decode()
    assert "gone by" in page
    assert "Measured 31 °C closed cup (Town Lab, 2026-02-03) at 17.7 % v/v" in page


def test_the_same_press_twice_keeps_one_value(signed_in, tack):
    send(signed_in, tack)
    send(signed_in, tack)
    assert FlashPoint.objects.count() == 1


def test_fahrenheit_is_read_where_the_shop_measures_so(signed_in, tack):
    """86 °F is 30 °C: PHMSA letter 11-0141 prints both."""
    Shop.objects.update(units="us")
    assert send(signed_in, tack, flash_point_c="86").status_code == 303
    assert FlashPoint.objects.get().flash_point_c == pytest.approx(30.0)


@pytest.mark.parametrize(
    ("typed", "told"),
    [
        ({"flash_point_c": "86"}, "If the report says 86 °F, enter 30 °C."),
        ({"flash_point_c": "72"}, "is likely"),
        ({"flash_point_c": "warm"}, "Enter a number."),
        ({"flash_point_c": "31", "boiling_point_c": "30"}, "Enter 60 to 105 °C."),
        (
            {"vv_pct": "1", "flash_point_c": "81", "boiling_point_c": "81"},
            "No liquid flashes only at 81 °C",
        ),
        ({"vv_pct": "0"}, "no flash point to measure"),
        ({"vv_pct": "170"}, "A strength is 100 % at most"),
        ({"category": "2"}, "does not belong to this category"),
        ({"measured_on": "2999-01-01"}, "This day has not come yet."),
        ({"cup": ""}, "This field is required."),
        ({"measured_by": ""}, "This field is required."),
    ],
)
def test_what_cannot_be_comes_back_as_typed(signed_in, tack, typed, told):
    answer = send(signed_in, tack, **typed)
    assert answer.status_code == 422
    page = answer.content.decode()
    assert told in page
    assert all(f'value="{text}"' in page for text in typed.values() if text)
    assert not FlashPoint.objects.exists()


def test_a_low_value_is_kept_once_it_was_looked_at_again(signed_in, tack):
    answer = send(signed_in, tack, flash_point_c="11")
    assert 'name="sure"' in answer.content.decode()
    again = send(signed_in, tack, flash_point_c="11", sure="on", key="b" * 16)
    assert again.status_code == 303
    assert (
        'name="sure"'
        not in send(signed_in, tack, flash_point_c="86", key="c" * 16).content.decode()
    )


def test_celsius_in_a_shop_of_fahrenheit_is_told(signed_in, tack):
    Shop.objects.update(units="us")
    page = send(signed_in, tack, flash_point_c="30").content.decode()
    assert "If the report says 30 °C, enter 86 °F." in page


def test_a_file_that_is_no_report_is_told_at_its_field(signed_in, tack):
    file = SimpleUploadedFile("report.exe", b"MZ nothing", "application/pdf")
    answer = send(signed_in, tack, report=file)
    assert answer.status_code == 422
    assert "not a photo" in answer.content.decode()
    assert not FlashPoint.objects.exists()


def test_a_version_of_another_recipe_is_refused(signed_in, tack):
    slip = Recipe.objects.get(kind="slip").versions.all()[0]
    assert send(signed_in, tack, recipe_version=slip.pk).status_code == 422


@pytest.mark.parametrize("role", ["desk", "installer"])
def test_only_a_manager_enters_and_withdraws(client, manager, tack, role, request):
    pk = enter(manager, tack)
    client.force_login(request.getfixturevalue(role))
    page = client.get(f"/mixing/recipes/{tack.pk}/flash-points/")
    assert page.status_code == 200
    assert "Withdraw" not in page.content.decode()
    assert send(client, tack).status_code == 403
    url = f"/mixing/flash-points/{pk}/withdraw/"
    assert client.post(url, {"key": KEY, "reason": "no"}).status_code == 403


def test_a_withdrawn_value_stays_to_be_read_with_its_reason(signed_in, manager, tack):
    pk = enter(manager, tack)
    url = f"/mixing/flash-points/{pk}/withdraw/"
    empty = signed_in.post(url, {"key": "a" * 16, "reason": " "})
    assert empty.status_code == 422
    done = signed_in.post(url, {"key": KEY, "reason": "another bottle"})
    assert done.status_code == 303
    page = signed_in.get(f"/mixing/recipes/{tack.pk}/flash-points/").content.decode()
    assert "another bottle" in page
    assert "NOT measured" in page
    assert FlashPoint.objects.count() == 1


def test_a_value_is_withdrawn_once(manager, tack):
    pk = enter(manager, tack)
    facts = {"flash_point_pk": pk, "reason": "another bottle"}
    perform(make_tap(manager), withdraw_flash_point, **facts)
    with pytest.raises(Refused, match="already"):
        perform(make_tap(manager), withdraw_flash_point, **facts)
    assert FlashPointWithdrawal.objects.count() == 1


def test_rows_are_never_changed(manager, tack):
    row = FlashPoint.objects.get(pk=enter(manager, tack))
    row.flash_point_c = 60.0
    with pytest.raises(RuntimeError, match="never changed"):
        row.save()


def test_a_better_value_takes_the_place_of_one_once(signed_in, manager, tack):
    first = FlashPoint.objects.get(pk=enter(manager, tack))
    second = enter(manager, tack, flash_point_c=33.0, replaces=first)
    page = signed_in.get(f"/mixing/recipes/{tack.pk}/flash-points/").content.decode()
    assert "Measured 33 °C" in page
    assert "replaced" in page
    with pytest.raises(Refused, match="meanwhile"):
        enter(manager, tack, flash_point_c=34.0, replaces=first)
    assert set(FlashPoint.objects.values_list("pk", flat=True)) == {first.pk, second}


def test_an_open_cup_is_kept_and_not_gone_by(signed_in, manager, tack):
    enter(manager, tack, cup="open", flash_point_c=38.0)
    page = signed_in.get(f"/mixing/recipes/{tack.pk}/flash-points/").content.decode()
    assert "Open cup: it reads higher" in page
    assert "NOT measured" in page


def test_the_recipe_and_the_shop_s_page_lead_to_it(signed_in, manager, tack):
    link = f"/mixing/recipes/{tack.pk}/flash-points/"
    assert link in signed_in.get(f"/mixing/recipes/{tack.pk}/").content.decode()
    page = signed_in.get("/safety/").content.decode()
    assert "Not measured, the strength decides" in page
    assert link in page
    enter(manager, tack)
    page = signed_in.get("/safety/").content.decode()
    assert "Measured 31 °C closed cup" in page
    assert "Flash points" in signed_in.get("/mixing/flash-points/").content.decode()


def mixed_order(by):
    """An order with tack mixed in two bottles."""
    order = make_workorder(stage=Stage.INSTALL, bay=make_bay())
    make_reading(order, by)
    facts = {"workorder_pk": order.pk, "kind": "tack"}
    bottles = list(Vessel.objects.filter(kind="tack"))
    perform(make_tap(by), make_sheet, vessels=bottles, **facts)
    row = order.sheets.first()
    (solution,) = sheet_of(row.facts).solutions
    poured = [[pour.amount.value for pour in fill.pours] for fill in solution.fills]
    perform(make_tap(by), record_mix, version=row.version, poured=poured, **facts)
    perform(make_tap(by), use_prep, workorder_pk=order.pk)
    return order


def class_line(order):
    now = timezone.now()
    facts = safety_facts(order, sheet=sheet_now(order, at=now)[0], at=now)
    lines = {line["key"]: line for line in facts["lines"]}
    return lines["class:Tack"], facts


def test_a_value_reaches_the_order_its_page_its_paper_and_the_labels(
    signed_in, manager, tack
):
    order = mixed_order(manager)
    fill = Fill.objects.first()
    line, _facts = class_line(order)
    assert line["basis"].startswith("Not measured; by strength")
    page = signed_in.get(f"/workorders/{order.pk}/safety/").content.decode()
    assert "/mixing/flash-points/" in page

    enter(manager, tack, vv_pct=18.0, flash_point_c=21.0, ground="data sheet")
    line, facts = class_line(order)
    assert "flammable category 2, flash point 21 °C" in line["sentence"]
    assert line["basis"].startswith("Data sheet: 21 °C closed cup (Town Lab")
    assert "category 2" in facts["fire"]["sentence"]
    (label,) = [each for each in facts["labels"] if each["name"] == "Tack"]
    assert label["signal"] == "Danger"
    for made in (fill_label(fill), kind_label(fill.vessel)):
        assert (made.signal, made.flash) == ("Danger", "21 °C")


def test_the_shop_s_page_sums_what_stands_in_vessels_by_category(
    signed_in, manager, tack
):
    mixed_order(manager)
    before = signed_in.get("/safety/").content.decode()
    assert re.search(r"Standing in vessels:</strong> [\d ,]+ mL of category 3", before)
    enter(manager, tack, vv_pct=18.0, flash_point_c=21.0)
    after = signed_in.get("/safety/").content.decode()
    assert re.search(r"Standing in vessels:</strong> [\d ,]+ mL of category 2", after)


def test_a_permanent_label_never_turns_milder_by_a_value(manager, tack):
    """25 % v/v is category 2 by strength; a value of 28 °C would be category 3."""
    vessel = Vessel.objects.filter(kind="tack").first()
    before = kind_label(vessel)
    enter(manager, tack, vv_pct=18.0, flash_point_c=54.0)
    after = kind_label(vessel)
    assert (before.signal, after.signal) == ("Warning", "Warning")
    enter(manager, tack, vv_pct=18.0, flash_point_c=22.0)
    assert kind_label(vessel).signal == "Danger"


def test_a_sheet_not_mixed_yet_goes_by_the_value_too(manager, tack):
    order = make_workorder(stage=Stage.INSTALL, bay=make_bay())
    make_reading(order, manager)
    bottles = list(Vessel.objects.filter(kind="tack"))
    facts = {"workorder_pk": order.pk, "kind": "tack", "vessels": bottles}
    perform(make_tap(manager), make_sheet, **facts)
    enter(manager, tack, vv_pct=18.0)
    assert class_line(order)[0]["basis"].startswith("Measured 31 °C")


def test_a_stronger_batch_keeps_to_the_strength(manager, tack):
    order = mixed_order(manager)
    enter(manager, tack, vv_pct=12.0, flash_point_c=36.0)
    assert class_line(order)[0]["basis"].startswith("Not measured; by strength")
