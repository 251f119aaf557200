"""The safety block is read in ten seconds: states first, then what to do and enter."""

from __future__ import annotations

import ctypes
import re
from datetime import timedelta
from functools import cache

import pypdfium2
import pypdfium2.raw
import pytest
from django.template import engines
from django.utils import timezone

from jobs.air.prep_actions import use_prep
from jobs.papers.facts import to_json
from jobs.papers.html_facts import safety_parts
from jobs.papers.safety_facts import facts_of
from jobs.papers.work_order_facts import work_order_facts
from jobs.path.queries import floor
from jobs.solutions.actions import make_sheet
from mixing.models import Chemical
from mixing.safety.block import safety_block
from shopapp.frame import perform
from shopapp.printing import pdf_from_html
from tests.jobs.papers.safety_blocks import BLOCKS
from tests.makers import (
    NOW,
    make_bay,
    make_bench,
    make_reading,
    make_tap,
    make_workorder,
)

pytestmark = pytest.mark.django_db
PAGE = """{% extends "papers/base_print.html" %}{% load static %}
{% block sheet %}<link rel="stylesheet" href="{% static 'shopapp/work_order.css' %}">
{% endblock %}{% block body_class %}work-order{% endblock %}
{% block content %}{% include "papers/_safety.html" %}{% endblock %}"""


@pytest.fixture
def strong(db):
    return Chemical.objects.create(
        name="91 % wipe",
        substance="wipe",
        strength_pct=91,
        strength_basis="vv",
        hazard_codes="H225, H319, H336",
    )


def in_bay(installer, **bay):
    make_bench(installer)
    made = make_workorder(bay=make_bay(**bay))
    make_reading(made, installer, air_c=25.0, rh_pct=50.0, panel_c=24.0)
    perform(make_tap(installer), make_sheet, workorder_pk=made.pk)
    type(made).objects.filter(pk=made.pk).update(stage="install")
    made.refresh_from_db()
    return made


@pytest.fixture
def over(installer, strong):
    """3 L of 91 % wipe in a bay of 72 m3: far over a tenth of the LEL."""
    made = in_bay(
        installer, exhaust_measured_on=timezone.localdate() - timedelta(days=30)
    )
    facts = {"chemical": strong, "litres": 3.0}
    perform(make_tap(installer), use_prep, workorder_pk=made.pk, **facts)
    return made


@pytest.fixture
def unmeasured(installer, strong):
    return in_bay(
        installer, exhaust_m3_per_h=None, mixing_factor=None, mixing_factor_basis=""
    )


def read(client, url):
    page = client.get(url).content.decode()
    return " ".join(re.sub(r"<[^>]+>", " ", page.partition("<main")[2]).split())


def test_the_page_opens_with_its_states_the_gravest_first(client, over, installer):
    client.force_login(installer)
    told = read(client, f"/workorders/{over.pk}/safety/")
    opens = told.partition("FIRE:")[0]
    assert "OVER Air" in opens
    first = opens.partition("OVER Air")[0]
    assert not [word for word in ("OK ", "WATCH ", "NOT ASSESSED ") if word in first]
    assert "Do not wipe or spray that much at once" in opens


def test_the_block_opens_on_paper_with_states_and_what_to_do(over):
    facts = work_order_facts(over, at=NOW)["safety"]
    assert [state for state, _ in facts.get("head", ())][:1] == ["OVER"]
    assert facts["do"][0].startswith("Do not wipe or spray")


@pytest.mark.parametrize("url", ["/workorders/{pk}/", "/floor/"])
def test_over_stands_on_the_order_and_on_the_floor(client, over, installer, url):
    client.force_login(installer)
    told = read(client, url.format(pk=over.pk))
    assert "OVER" in told


def test_a_floor_without_a_car_at_work_says_nothing_of_fire(client, installer):
    make_workorder(bay=make_bay())
    client.force_login(installer)
    assert "Fire and air" not in read(client, "/floor/")


def test_one_wrong_entry_neither_takes_the_floor_away_nor_refuses_a_press(
    over, installer, strong
):
    bay = over.bay
    bay.exhaust_measured_on = (NOW + timedelta(days=900)).date()
    bay.save()
    facts = {"chemical": strong, "litres": 0.1}
    perform(make_tap(installer), use_prep, workorder_pk=over.pk, **facts)
    (spot,) = floor(now=timezone.now()).bays
    assert spot.fire.state == "NOT ASSESSED"
    assert "Correct the date" in str(spot.fire.sentence)


def test_one_unmeasured_bay_is_one_line_of_the_air(client, unmeasured, installer):
    client.force_login(installer)
    told = read(client, f"/workorders/{unmeasured.pk}/safety/")
    singly = ("Air changes: not", "8-hour average: not", "Highest bay average: not")
    assert [each for each in singly if each in told] == []
    assert "The air of this job is not assessed. To enter:" in told


def test_where_warming_and_not_assessed_meet_one_sentence_decides(
    client, unmeasured, installer
):
    client.force_login(installer)
    told = read(client, f"/workorders/{unmeasured.pk}/safety/")
    card = told.partition("Hot tools")[2]
    assert "Until the first wipe or spray with alcohol film may be warmed" in card
    assert "from then on no hot tool" in card


@pytest.fixture
def pages():
    return printed()


@cache
def printed():
    """The fullest block on Letter, rendered once."""
    asked = BLOCKS["three labels"]
    safety = to_json(
        facts_of(
            safety_block(asked),
            limit_ppm=asked.held_limit_ppm,
            session_min=asked.session_min,
            rules=asked.rules.named,
        )
    )
    context = {"safety": safety, "size": "letter", **safety_parts(safety)}
    html = engines["django"].from_string(PAGE).render(context)
    return pypdfium2.PdfDocument(bytes(pdf_from_html(html)))


def test_no_letter_of_the_block_on_paper_is_under_nine_points(pages):
    text = pages[0].get_textpage()
    matrix, sizes = pypdfium2.raw.FS_MATRIX(), set()
    foot = 17 / 25.4 * 72  # the number of the page stands below
    for at in range(text.count_chars()):
        if text.get_text_range(at, 1).strip() and text.get_charbox(at)[1] > foot:
            pypdfium2.raw.FPDFText_GetMatrix(text.raw, at, ctypes.byref(matrix))
            size = pypdfium2.raw.FPDFText_GetFontSize(text.raw, at)
            sizes.add(round(size * abs(matrix.d), 2))
    assert min(sizes) >= 9


def test_the_block_on_paper_says_the_states_before_the_sections(pages):
    told = " ".join(pages[0].get_textpage().get_text_range().split())
    opens = told.partition("Tack Danger")[0]
    assert "OVER" in opens
    assert "Move stock" in opens


def test_a_paper_of_before_without_a_head_is_still_laid_out():
    asked = BLOCKS["a complete bay"]
    safety = to_json(
        facts_of(
            safety_block(asked),
            limit_ppm=asked.held_limit_ppm,
            session_min=asked.session_min,
            rules=asked.rules.named,
        )
    )
    for name in ("head", "do"):
        safety.pop(name, None)
    context = {"safety": safety, "size": "letter", **safety_parts(safety)}
    html = engines["django"].from_string(PAGE).render(context)
    assert "Safety notes" in html
