"""A data sheet that was read but not filed is asked for; it holds up no section."""

from __future__ import annotations

import pytest

from mixing.models import Chemical
from tests.makers import make_bay, make_bench, make_workorder

pytestmark = pytest.mark.django_db


def test_an_unfiled_sheet_whose_values_are_entered_leaves_its_section_alone(
    client, installer
):
    make_bench()
    Chemical.objects.update(hazard_codes="H225, H319, H336", sheet_dated="2026-01-05")
    order = make_workorder(bay=make_bay())
    client.force_login(installer)
    page = client.get(f"/workorders/{order.pk}/safety/").content.decode()
    assert "Data sheet of isopropyl alcohol: its " in page
    assert "Data sheets: not all are on hand." not in page


def test_a_sheet_that_nobody_read_still_holds_it_up(client, installer):
    make_bench()
    order = make_workorder(bay=make_bay())
    client.force_login(installer)
    page = client.get(f"/workorders/{order.pk}/safety/").content.decode()
    assert "Data sheets: not all are on hand." in page
