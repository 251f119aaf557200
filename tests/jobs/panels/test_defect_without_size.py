"""Of a defect without a size the form and the result say the same."""

from __future__ import annotations

import re

import pytest

from jobs.stages.table import Stage
from tests.jobs.taps import make_order, page, tap

pytestmark = pytest.mark.django_db


@pytest.fixture
def order(client, installer):
    client.force_login(installer)
    return make_order(installer, stage=Stage.INSPECTION)


def said_of(client, order, kind: str) -> str:
    hood = order.panels.get(panel="hood")
    tap(client, "defect_open", order.pk, hood.pk, kind=kind)
    text = page(client, "workorder_panels", order.pk)
    text = re.sub(r"<[^>]+>|\s+", " ", text)
    return text[text.index("not sized") :][:300]


def test_the_form_names_the_kinds_that_are_watched_whatever_their_size(client, order):
    hood = order.panels.get(panel="hood")
    text = page(client, "workorder_panels", order.pk, do="defect", panel=hood.pk)
    assert "A defect without a size counts as outside the standard." in text
    assert "Only watched, with a size or without: water pockets that stay, haze" in text


def test_an_unsized_haze_is_called_watched_and_not_within_the_standard(client, order):
    said = said_of(client, order, "haze")
    assert "only watched by the standard" in said
    assert "within the standard" not in said


def test_unsized_dirt_is_outside_because_it_has_no_size(client, order):
    assert "no size: outside the standard" in said_of(client, order, "dirt")
