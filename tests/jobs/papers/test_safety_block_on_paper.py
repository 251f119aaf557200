"""The safety block on paper: one page, readable letters, nothing left out."""

from __future__ import annotations

import ctypes
import os
from pathlib import Path

import pypdfium2
import pypdfium2.raw
import pytest
from django.template import engines

from jobs.papers.facts import to_json
from jobs.papers.html_facts import safety_parts
from jobs.papers.safety_facts import facts_of
from mixing.safety.block import safety_block
from shopapp.printing import pdf_from_html
from tests.jobs.papers.safety_blocks import BLOCKS

pytestmark = pytest.mark.django_db
PAGE = """{% extends "papers/base_print.html" %}{% load static %}
{% block sheet %}<link rel="stylesheet" href="{% static 'shopapp/work_order.css' %}">
{% endblock %}{% block body_class %}work-order{% endblock %}
{% block content %}{% include "papers/_safety.html" %}{% endblock %}"""
SMALLEST_PT = 9


def facts(name):
    asked = BLOCKS[name]
    return to_json(
        facts_of(
            safety_block(asked),
            limit_ppm=asked.held_limit_ppm,
            session_min=asked.session_min,
            rules=asked.rules.named,
        )
    )


def printed(name, size):
    safety = facts(name)
    context = {"safety": safety, "size": size.lower(), **safety_parts(safety)}
    pdf = pdf_from_html(engines["django"].from_string(PAGE).render(context))
    if folder := os.environ.get("SHOP_SHOTS"):
        Path(folder, f"{name}-{size}.pdf").write_bytes(pdf)
    return pypdfium2.PdfDocument(bytes(pdf))


def words_of(name):
    text = printed(name, "A4")[0].get_textpage().get_text_range()
    return " ".join(text.replace("\ufffe", "-").split())


@pytest.mark.parametrize("size", ["A4", "Letter"])
@pytest.mark.parametrize("name", BLOCKS)
def test_the_block_stands_on_one_page(name, size):
    assert len(printed(name, size)) == 1


@pytest.mark.parametrize("name", ["three labels", "nothing entered"])
def test_no_letter_is_too_small_to_read(name):
    text = printed(name, "Letter")[0].get_textpage()
    matrix = pypdfium2.raw.FS_MATRIX()
    sizes = set()
    foot = 17 / 25.4 * 72  # the number of the page stands below
    for at in range(text.count_chars()):
        if text.get_text_range(at, 1).strip() and text.get_charbox(at)[1] > foot:
            pypdfium2.raw.FPDFText_GetMatrix(text.raw, at, ctypes.byref(matrix))
            size = pypdfium2.raw.FPDFText_GetFontSize(text.raw, at)
            sizes.add(round(size * abs(matrix.d), 2))
    assert min(sizes) >= SMALLEST_PT


def test_every_point_of_the_block_is_on_it():
    told = words_of("99 % stock as poured")
    points = [
        "Tack",
        "Danger",
        "H225 Highly flammable liquid and vapor",
        "H319",
        "H336",
        "% w/w",
        "Liquids",
        "estimate",
        "Air",
        "Exhaust 950 m³/h",
        "limit 200 ppm",
        "end of the job",
        "Hot tools",
        "after the last alcohol spray",
        "Storage",
        "Cabinet A",
        "Waste",
        "Collect Tack as ignitable waste",
        "drain",
        "Local code",
        "Fire marshal",
        "Protect yourself",
        "goggles",
        "First aid",
        "Limits by: United States (example)",
        "not a measurement",
    ]
    assert [point for point in points if point not in told] == []


def test_what_was_not_entered_stands_on_it_by_page():
    told = words_of("nothing entered")
    assert "OK" not in told.partition("AIR")[2].partition("Waste")[0]
    for page in ("work order, solutions:", "shop settings, bays:", "stock shelf:"):
        assert page in told


@pytest.mark.parametrize("name", BLOCKS)
def test_every_line_is_on_paper_or_heads_it_or_limits_nothing(name):
    safety = facts(name)
    brief = " ".join(line["text"] for line in safety["brief"])
    for need in safety["missing"]:
        assert need["sentence"].strip()
    states = {(line["section"], line["state"]) for line in safety["lines"]}
    on_paper = {(line["section"], line["state"]) for line in safety["brief"]}
    headed = {("liquid", "OK"), ("storage", "OK")}
    assert states - on_paper <= headed
    for solution in BLOCKS[name].solutions:
        assert solution.name in brief
