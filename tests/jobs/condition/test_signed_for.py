"""One drawn signature a car, under what is agreed; or by link, phone, left keys."""

from __future__ import annotations

import json
import re
from datetime import timedelta

import pytest
from django.utils import timezone
from hypothesis import given
from hypothesis import strategies as st

from jobs.models import CustomerLink, Mark
from jobs.public.link_queries import hash_of
from jobs.stages.queries import stage_facts
from jobs.stages.table import Stage
from tests.jobs.taps import make_order, page, tap
from tests.makers import make_workorder

db = pytest.mark.django_db
STROKES = [[[40, 80], [120, 140], [200, 70], [290, 130], [380, 90]]]
SIGNED = {"how": "signature", "name": "Lee Ash", "strokes": json.dumps(STROKES)}


@pytest.fixture
def order(client, installer):
    client.force_login(installer)
    return make_workorder(at=timezone.now())


def agree(client, order, **sent):
    shown = order.marks.filter(when=Mark.When.INTAKE).values_list("pk", flat=True)
    pks = " ".join(str(pk) for pk in shown)
    answer = tap(client, "workorder_agree", order.pk, mark_pks=pks, **sent)
    order.refresh_from_db()
    return answer


def add_mark(client, order, kind: str, panel: str = "hood") -> None:
    tap(client, "mark_add", order.pk, panel=panel, kind=kind, severity="2")


def words(text: str) -> str:
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", text))


@db
@pytest.mark.parametrize("strokes", ["", "[]", "[[]]", "[[[9, 9]]]"])
def test_an_empty_field_is_no_signature(client, order, strokes):
    agree(client, order, **(SIGNED | {"strokes": strokes}))
    assert order.walk_round_agreed == ""


@db
def test_a_dot_is_no_signature(client, order):
    dot = json.dumps([[[100, 100], [102, 101]], [[101, 102], [104, 100]]])
    answer = agree(client, order, **(SIGNED | {"strokes": dot}))
    assert order.walk_round_agreed == ""
    assert "That is too short for a signature." in answer.content.decode()


@db
def test_who_signed_is_written_under_it(client, order):
    answer = agree(client, order, **(SIGNED | {"name": " "}))
    assert order.walk_round_agreed == ""
    text = answer.content.decode()
    assert "Write who signed." in text
    # What was drawn is still there.
    assert "[120, 140]" in text


@db
def test_the_signature_stands_on_the_checks_page_with_name_and_time(client, order):
    agree(client, order, **SIGNED)
    text = page(client, "workorder_checks", order.pk)
    assert "Lee Ash, " in text
    assert 'alt="signature of Lee Ash"' in text
    drawing = re.search(r'class="signature" src="(/files/[0-9a-f]{64}/)"', text)
    assert drawing is not None
    sent = client.get(drawing[1])
    assert sent["Content-Type"] == "image/svg+xml"
    assert b"120,140" in sent.content


@db
def test_it_is_signed_under_coverage_price_condition_repaint_and_terms(client, order):
    add_mark(client, order, "stone_chip")
    answer = client.get(f"/workorders/{order.pk}/sign/")
    assert answer.status_code == 200, "there is no page to sign"
    text = words(answer.content.decode())
    for said in (
        "Hood: edge",
        "1,800.00 USD",
        "stone chip",
        "Repainted paint",
        "Film follows the paint",
        "This browser runs no scripts",
    ):
        assert said in text


@db
def test_the_shops_own_terms_are_signed_for(client, order, manager):
    client.force_login(manager)
    from_page = client.get("/settings/shop/").content.decode()
    assert "Terms, one a line" in from_page


@db
def test_by_phone_keeps_whom_and_by_whom(client, order, installer):
    answer = agree(client, order, how="phone")
    assert "Write whom you spoke with." in answer.content.decode()
    agree(client, order, how="phone", name="Lee Ash")
    assert order.walk_round_agreed == "phone"
    text = words(page(client, "workorder_checks", order.pk))
    assert re.search(rf"agreed by phone Lee Ash, .* · kept by {installer}", text)


@db
def test_left_keys_needs_nothing_else(client, order):
    assert agree(client, order, how="keys").status_code == 303
    assert order.walk_round_agreed == "keys"


@db
def test_a_mark_added_afterwards_is_said_to_be_not_agreed(client, order):
    add_mark(client, order, "scuff")
    agree(client, order, how="keys")
    add_mark(client, order, "repaint_line")
    text = words(page(client, "workorder_checks", order.pk))
    assert "1 mark not agreed" in text


@db
def test_a_later_mark_that_asks_consent_speaks_against_moving_on(client, order):
    agree(client, order, how="keys")
    add_mark(client, order, "repaint_line")
    text = words(page(client, "workorder_detail", order.pk))
    assert "Found later, not approved by the customer: repaint edge line." in text


@db
def test_only_marks_whose_kind_asks_consent_hold_the_job(client, installer):
    client.force_login(installer)
    order = make_order(installer, stage=Stage.PREP)
    add_mark(client, order, "swirls")
    add_mark(client, order, "stone_chip")
    facts = stage_facts(order, now=timezone.now())
    assert facts.marks_unapproved == ("stone chip",)
    text = words(page(client, "workorder_checks", order.pk))
    assert "kept, nobody is asked" in text


@db
def test_the_customer_is_asked_about_all_that_ask_consent_at_once(client, installer):
    client.force_login(installer)
    order = make_order(installer, stage=Stage.PREP)
    for kind in ("swirls", "stone_chip", "touch_up"):
        add_mark(client, order, kind)
    text = ask_page(client, order)
    asked = re.findall(r'name="marks" value="(\d+)"', text)
    kinds = set(Mark.objects.filter(pk__in=asked).values_list("kind", flat=True))
    assert kinds == {"stone_chip", "touch_up"}


def ask_page(client, order) -> str:
    token = "a-link-of-this-test"
    CustomerLink.objects.create(
        workorder=order,
        token_hash=hash_of(token),
        expires_at=timezone.now() + timedelta(days=10),
    )
    return client.get(f"/c/{token}/").content.decode()


@db
def test_by_link_the_customer_agrees_to_the_same(client, order):
    text = words(ask_page(client, order))
    for said in ("Hood: edge", "1,800.00 USD", "Repainted paint", "Film follows"):
        assert said in text
    client.post("/c/a-link-of-this-test/agree/", {"key": "k" * 16})
    order.refresh_from_db()
    assert order.walk_round_agreed == "link"


@db
def test_at_hand_over_nothing_is_called_signed(client, desk, order):
    client.force_login(desk)
    agree(client, order, how="keys")
    text = page(client, "handover_detail", order.pk)
    assert 'name="how" value="signature"' not in text


@given(st.text(max_size=60))
def test_whatever_is_sent_for_strokes_is_read_or_refused(text):
    from jobs.condition.signature import read_strokes, signature_problem

    assert signature_problem(read_strokes(text)) is not None


def test_a_drawn_name_is_a_signature_and_becomes_a_drawing():
    from jobs.condition.signature import read_strokes, signature_problem, signature_svg

    strokes = read_strokes(json.dumps(STROKES))
    assert signature_problem(strokes) is None
    assert "40,80 120,140" in signature_svg(strokes)
