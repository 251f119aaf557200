"""Who looked at a panel and when; a second pair of eyes is always possible."""

from __future__ import annotations

import re

import pytest
from django.urls import reverse

from jobs.panels.inspection_actions import look_at_panel, look_at_the_rest
from jobs.stages.table import Stage
from tests.jobs.taps import do, make_order, page, tap
from tests.makers import make_person

pytestmark = pytest.mark.django_db


@pytest.fixture
def order(installer):
    """Every panel laid by the installer."""
    return make_order(installer, stage=Stage.INSPECTION)


@pytest.fixture
def ines(client):
    """Another inspector at the tablet."""
    person = make_person("installer", username="ines")
    client.force_login(person)
    return person


def look_url(order, panel) -> str:
    return reverse("jobs:panel_look", args=[order.pk, panel.pk])


def test_a_panel_that_only_its_layer_looked_at_is_offered_to_another(
    client, installer, order, ines
):
    do(installer, look_at_the_rest, workorder_pk=order.pk)
    text = page(client, "workorder_panels", order.pk)
    assert all(look_url(order, panel) in text for panel in order.panels.all())
    assert f"Looked at all {order.panels.count()}: fine" in text


def test_another_looks_at_all_that_only_the_layer_saw_in_one_tap(
    client, installer, order, ines
):
    do(installer, look_at_the_rest, workorder_pk=order.pk)
    assert tap(client, "panels_looked", order.pk).status_code == 303
    lookers = {look.by for panel in order.panels.all() for look in panel.looks.all()}
    assert lookers == {installer, ines}
    assert tap(client, "panels_looked", order.pk).status_code == 422


def test_the_row_names_who_looked_and_not_only_who_laid_it(
    client, installer, order, ines
):
    hood = order.panels.get(panel="hood")
    do(ines, look_at_panel, workorder_pk=order.pk, panel_pk=hood.pk)
    text = page(client, "workorder_panels", order.pk)
    assert f"looked at by {ines.first_name}, " in text
    assert f"laid by {installer.first_name}, " in text


def test_a_second_look_stays_possible_after_somebody_else_looked(
    client, installer, order, ines
):
    hood = order.panels.get(panel="hood")
    third = make_person("installer", username="tam")
    do(third, look_at_panel, workorder_pk=order.pk, panel_pk=hood.pk)
    assert look_url(order, hood) in page(client, "workorder_panels", order.pk)


def test_the_history_names_panels_and_no_database_numbers(
    client, installer, order, ines
):
    do(installer, look_at_the_rest, workorder_pk=order.pk)
    text = page(client, "workorder_history", order.pk)
    assert "Looked at: front bumper" in text or "Looked at: hood" in text
    assert not re.search(r"panels? \d", text)
