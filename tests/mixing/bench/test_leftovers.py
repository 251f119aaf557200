"""What is left in a vessel goes into a can by name, not down a drain."""

from __future__ import annotations

import pytest

from mixing.models import Kind, Vessel
from shopapp.models import Shop
from tests.makers import make_vessel

pytestmark = pytest.mark.django_db


def bench(client):
    page = client.get("/mixing/").content.decode()
    return " ".join(page.split())


def test_the_bench_names_the_can_for_what_holds_alcohol(client, installer):
    """40 CFR 403.5(b)(1): what flashes below 60 °C is barred from the sewer."""
    make_vessel("T1", Kind.TACK, state=Vessel.State.TO_RINSE)
    client.force_login(installer)
    page = bench(client)
    assert "pour it away" not in page
    row = page.partition('value="T1"')[2].partition("</li>")[0]
    assert "Into the can for alcohol mixes, never down a drain." in row


def test_soapy_water_goes_where_the_sewer_authority_said(client, installer):
    make_vessel("S1", Kind.SLIP, state=Vessel.State.TO_RINSE)
    client.force_login(installer)
    assert "until the sewer authority has answered" in bench(client)
    Shop.objects.update(rinse_water="soapy rinse water to the floor drain")
    assert "It says: soapy rinse water to the floor drain." in bench(client)


def test_gel_goes_by_its_own_data_sheet(client, installer):
    make_vessel("G1", Kind.GEL, state=Vessel.State.TO_RINSE)
    client.force_login(installer)
    assert "as its data sheet says (section 13)" in bench(client)
