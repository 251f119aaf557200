"""The checks page: items, marks, paint, agreement, added work."""

from __future__ import annotations

import io

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from PIL import Image

from jobs.condition.marks import neighbours
from jobs.models import (
    AddedWork,
    Checklist,
    ChecklistAnswer,
    ChecklistVersion,
    Mark,
    PaintReading,
)
from jobs.rules.default_actions import load_defaults
from jobs.stages.table import Stage
from shopapp.models import Shop
from tests.jobs.taps import do, events, load_the_lists, make_order, page, tap
from tests.makers import make_booking, make_customer, make_vehicle

pytestmark = pytest.mark.django_db


@pytest.fixture
def tablet(client, installer):
    client.force_login(installer)
    return client


@pytest.fixture
def order(installer):
    load_the_lists()
    return make_order(installer)


def answer(tablet, order, item: str, *, htmx: bool = False, **data):
    row = order.checklists.get(version__checklist__code=order.stage)
    return tap(tablet, "checklist_answer", order.pk, row.pk, item, htmx=htmx, **data)


def photo(name: str = "side.jpg") -> SimpleUploadedFile:
    out = io.BytesIO()
    Image.new("RGB", (40, 30), "gray").save(out, "JPEG")
    return SimpleUploadedFile(name, out.getvalue(), "image/jpeg")


def test_one_tap_ticks_an_item_and_the_next_takes_it_back(tablet, order):
    answer(tablet, order, "take_the_keys_and_tag_them", ticked="on")
    assert ChecklistAnswer.objects.get().ticked
    answer(tablet, order, "take_the_keys_and_tag_them")
    assert not ChecklistAnswer.objects.exists()
    assert events(order)[-2:] == ["checked", "unchecked"]


def test_on_a_tablet_only_the_item_and_its_counts_come_back(tablet, order):
    sent = answer(tablet, order, "take_the_keys_and_tag_them", ticked="on", htmx=True)
    assert sent.status_code == 303
    text = tablet.get(sent["Location"], headers={"HX-Request": "true"}).content.decode()
    assert 'aria-pressed="true"' in text
    assert "5 open" in text
    assert "<h1" not in text
    assert text.count('class="check"') == 1


def test_a_number_outside_its_limits_is_told_and_stays(tablet, order):
    sent = answer(tablet, order, "read_the_mileage", number="-5")
    text = sent.content.decode()
    assert sent.status_code == 422
    assert "Read the mileage: not below 0." in text
    assert 'value="-5"' in text
    assert not ChecklistAnswer.objects.exists()


def test_a_refused_number_comes_back_alone_on_a_tablet(tablet, order):
    sent = answer(tablet, order, "read_the_mileage", number="-5", htmx=True)
    text = sent.content.decode()
    assert sent.status_code == 422
    assert text.count("not below 0.") == 1
    assert "<h1" not in text


def test_a_us_shop_answers_in_its_units(tablet, installer):
    load_the_lists()
    Shop.objects.update(units="us")
    order = make_order(installer, stage=Stage.PREP)
    answer(tablet, order, "read_the_panel", number="77")
    assert ChecklistAnswer.objects.get().number == pytest.approx(25.0)
    assert "77 °F" in page(tablet, "workorder_checks", order.pk)


def test_a_photo_is_kept_and_goes_only_by_its_own_button(tablet, order):
    answer(tablet, order, "photograph_all_four_sides", photo=photo())
    kept = ChecklistAnswer.objects.get().photo
    assert kept is not None
    assert answer(tablet, order, "photograph_all_four_sides").status_code == 422
    assert ChecklistAnswer.objects.get().photo == kept
    answer(tablet, order, "photograph_all_four_sides", clear="1")
    assert not ChecklistAnswer.objects.exists()


def test_what_is_no_photo_is_told_at_its_field(tablet, order):
    text = SimpleUploadedFile("side.jpg", b"not a picture", "image/jpeg")
    sent = answer(tablet, order, "photograph_all_four_sides", photo=text)
    assert sent.status_code == 422
    assert "This file is not a photo." in sent.content.decode()


def test_an_item_of_another_order_is_not_found(tablet, installer, order):
    other = make_order(installer)
    row = other.checklists.get()
    sent = tap(
        tablet, "checklist_answer", order.pk, row.pk, "read_the_mileage", number="1"
    )
    assert sent.status_code == 404


def test_a_mark_before_the_wash_is_a_mark_at_intake(tablet, order):
    tap(tablet, "mark_add", order.pk, panel="hood", kind="stone_chip", severity="2")
    mark = Mark.objects.get()
    assert mark.when == Mark.When.INTAKE
    assert "film only with consent" in page(tablet, "workorder_checks", order.pk)


def test_a_mark_found_in_prep_waits_for_the_customer(tablet, installer):
    order = make_order(installer, stage=Stage.PREP)
    tap(tablet, "mark_add", order.pk, panel="hood", kind="tar", severity="1")
    mark = Mark.objects.get()
    assert mark.when == Mark.When.AFTER_WASH
    tap(tablet, "marks_approve", order.pk, how="keys", mark_pks=f"{mark.pk} ")
    mark.refresh_from_db()
    assert mark.approved_how == "keys"


def test_a_mark_without_a_panel_keeps_what_was_chosen(tablet, order):
    sent = tap(tablet, "mark_add", order.pk, kind="scuff", severity="3", size_mm="12")
    text = sent.content.decode()
    assert sent.status_code == 422
    assert '<option value="scuff" selected>' in text
    assert 'value="12"' in text
    assert not Mark.objects.exists()


def test_the_customer_agrees_once_to_the_marks_that_were_shown(tablet, order):
    tap(tablet, "mark_add", order.pk, panel="hood", kind="stone_chip", severity="2")
    shown = Mark.objects.get().pk
    tap(tablet, "mark_add", order.pk, panel="hood", kind="scuff", severity="1")
    sent = tap(tablet, "workorder_agree", order.pk, how="keys", mark_pks=shown)
    assert sent.status_code == 422
    assert "A mark was added since you looked." in sent.content.decode()
    both = " ".join(str(pk) for pk in Mark.objects.values_list("pk", flat=True))
    tap(tablet, "workorder_agree", order.pk, how="keys", mark_pks=both)
    order.refresh_from_db()
    assert order.walk_round_agreed == "keys"


def test_only_an_account_customer_agrees_by_account(tablet, order):
    sent = tap(tablet, "workorder_agree", order.pk, how="account")
    assert sent.status_code == 422
    assert 'value="account"' not in page(tablet, "workorder_checks", order.pk)
    dealer = make_customer("A dealer", is_account=True)
    theirs = make_order(
        None, booking=make_booking(vehicle=make_vehicle(dealer, plate="TST 2"))
    )
    assert 'value="account"' in page(tablet, "workorder_checks", theirs.pk)


def test_paint_is_read_only_where_a_gauge_reads_it(tablet, order):
    text = page(tablet, "workorder_checks", order.pk)
    assert 'id="paint-hood"' in text
    assert 'id="paint-front_bumper"' not in text
    assert 'id="paint-roof"' not in text


def test_two_neighbours_that_differ_are_told_apart(tablet, order):
    tap(tablet, "paint_read", order.pk, "hood", thickness_um="118")
    tap(tablet, "paint_read", order.pk, "front_fender_left", thickness_um="232")
    text = page(tablet, "workorder_checks", order.pk)
    assert "232 µm: possible refinish." in text
    assert "hood has 118 µm and front fender, left 232 µm: check." in text


def test_seven_mil_is_178_micrometres(tablet, order):
    """1 mil = 25.4 µm (NIST Handbook 44, appendix C)."""
    Shop.objects.update(units="us")
    tap(tablet, "paint_read", order.pk, "hood", thickness_um="7")
    assert PaintReading.objects.get().thickness_um == pytest.approx(177.8)


def test_paint_beyond_the_gauge_stays_typed(tablet, order):
    sent = tap(tablet, "paint_read", order.pk, "hood", thickness_um="9000")
    text = sent.content.decode()
    assert sent.status_code == 422
    assert "Paint of 9000 µm is outside" in text
    assert 'value="9000"' in text


def test_a_panel_that_no_gauge_reads_says_so(tablet, order):
    tap(tablet, "paint_read", order.pk, "hood", not_measurable="not measurable")
    assert "not measurable" in page(tablet, "workorder_checks", order.pk)
    assert tap(tablet, "paint_read", order.pk, "hood").status_code == 422


def test_panels_of_one_side_are_neighbours_of_that_side_only():
    codes = ["front_fender_left", "front_door_left", "front_door_right", "hood"]
    assert neighbours(codes) == (
        ("front_fender_left", "front_door_left"),
        ("hood", "front_fender_left"),
    )


def test_added_work_is_added_without_a_price_by_who_sees_none(tablet, order):
    sent = {"name": "parts off", "minutes": "40", "when": "in_prep", "skill": "prep"}
    tap(tablet, "addedwork_add", order.pk, **sent, price="500")
    row = AddedWork.objects.get()
    assert row.price == 0
    tap(tablet, "addedwork_done", order.pk, row.pk)
    again = tap(tablet, "addedwork_done", order.pk, row.pk)
    assert "This work is done already." in again.content.decode()


def test_a_stranger_answers_nothing(client, stranger, order):
    client.force_login(stranger)
    assert answer(client, order, "read_the_mileage", number="1").status_code == 403


def test_defaults_load_once_and_leave_the_shops_own_alone():
    do(None, load_defaults)
    Checklist.objects.filter(code="prep").update(name="Our wash")
    before = ChecklistVersion.objects.count()
    do(None, load_defaults)
    assert ChecklistVersion.objects.count() == before
    assert Checklist.objects.get(code="prep").name == "Our wash"


def test_a_new_version_leaves_the_lists_of_running_orders_alone(tablet, order):
    old = order.checklists.get().version
    ChecklistVersion.objects.create(
        checklist=old.checklist, number=2, items=[], why="shorter"
    )
    url = reverse("jobs:workorder_checks", args=[order.pk])
    assert "Photograph all four sides" in tablet.get(url).content.decode()
