"""A code names one thing: bottle or container; how it is written is said before."""

from __future__ import annotations

import pytest

from mixing.bench.actions import change_vessel
from mixing.models import Chemical, Kind, StockContainer, Vessel
from mixing.shelf.actions import receive_stock
from shopapp.frame import Refused, perform
from tests.makers import make_bench, make_tap

pytestmark = pytest.mark.django_db


def test_a_container_is_not_called_as_a_bottle_is_nor_a_bottle_as_a_container(manager):
    make_bench(manager)
    vessel, container = Vessel.objects.first(), StockContainer.objects.first()
    assert vessel is not None
    assert container is not None
    chemical = Chemical.objects.get(pk=container.chemical_id)
    with pytest.raises(Refused, match="A bottle is called"):
        perform(
            make_tap(manager),
            receive_stock,
            chemical=chemical,
            code=vessel.code,
            strength_pct=container.strength_pct,
            strength_basis=container.strength_basis,
            capacity_ml=1000,
        )
    with pytest.raises(Refused, match="A container on the shelf is called"):
        perform(
            make_tap(manager),
            change_vessel,
            code=container.code,
            kind=Kind.SLIP,
            form=vessel.form,
            capacity_ml=1000,
            usable_ml=900,
        )


def test_how_a_code_is_written_stands_at_its_field(client, manager):
    make_bench(manager)
    client.force_login(manager)
    assert (
        "capital letters and digits: S1"
        in client.get("/mixing/vessels/").content.decode()
    )
