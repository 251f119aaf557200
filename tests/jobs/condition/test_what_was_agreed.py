"""What a customer agreed to is read back as it was, with who said yes to what later."""

from __future__ import annotations

import json

import pytest
from django.utils import timezone

from jobs.models import Mark
from jobs.stages.table import Stage
from tests.jobs.condition.test_signed_for import add_mark, words
from tests.jobs.taps import load_the_lists, make_order, page, tap
from tests.makers import make_workorder

pytestmark = pytest.mark.django_db
STROKES = [[[40, 80], [120, 140], [200, 70], [290, 130], [380, 90]]]


@pytest.fixture
def signed(client, installer):
    client.force_login(installer)
    order = make_workorder(at=timezone.now())
    add_mark(client, order, "stone_chip")
    pks = " ".join(str(mark.pk) for mark in order.marks.all())
    tap(
        client,
        "workorder_agree",
        order.pk,
        how="signature",
        name="Lee Ash",
        strokes=json.dumps(STROKES),
        mark_pks=pks,
    )
    order.refresh_from_db()
    return order


def test_a_mark_added_after_the_signature_does_not_stand_above_it(client, signed):
    add_mark(client, signed, "rust_bubble", panel="front_fender_left")
    text = words(page(client, "workorder_sign", signed.pk))
    assert "stone chip" in text
    assert "rust bubble" not in text


def test_a_panel_struck_off_since_is_read_as_it_was_agreed(client, signed):
    panel = signed.panels.first()
    before = words(page(client, "workorder_sign", signed.pk))
    signed.panels.filter(pk=panel.pk).update(struck_off_at=timezone.now(), edge="short")
    after = words(page(client, "workorder_sign", signed.pk))
    assert after.count("edge wrapped") == before.count("edge wrapped")


def test_who_said_yes_to_marks_found_later_is_read_on_the_checks_page(client, signed):
    add_mark(client, signed, "repaint_line")
    late = Mark.objects.get(kind="repaint_line")
    tap(
        client,
        "marks_approve",
        signed.pk,
        how="phone",
        name="Kim Ash",
        mark_pks=str(late.pk),
    )
    assert "by phone, Kim Ash," in words(page(client, "workorder_checks", signed.pk))


def test_the_history_says_who_agreed_and_to_which_marks(client, signed):
    add_mark(client, signed, "repaint_line")
    late = Mark.objects.get(kind="repaint_line")
    tap(
        client,
        "marks_approve",
        signed.pk,
        how="phone",
        name="Kim Ash",
        mark_pks=str(late.pk),
    )
    text = words(page(client, "workorder_history", signed.pk))
    assert "Drop-off agreed, by signature Lee Ash" in text
    assert "Marks approved, by phone Kim Ash: hood: repaint edge line" in text


def test_a_mileage_with_a_comma_is_one_number_and_stands_in_the_history(
    client, installer
):
    client.force_login(installer)
    load_the_lists()
    order = make_order(installer)
    row = order.checklists.first()
    tap(
        client,
        "checklist_answer",
        order.pk,
        row.pk,
        "read_the_mileage",
        number="31,420",
    )
    text = words(page(client, "workorder_history", order.pk))
    assert "Checked: read the mileage 31420" in text


def test_a_defect_stands_in_the_history_in_its_own_words(client, installer):
    client.force_login(installer)
    order = make_order(installer, stage=Stage.INSPECTION)
    hood = order.panels.get(panel="hood")
    tap(client, "defect_open", order.pk, hood.pk, kind="dirt")
    text = words(page(client, "workorder_history", order.pk))
    assert "Defect on the hood: dirt, lint, hair, dirt line at an edge" in text
