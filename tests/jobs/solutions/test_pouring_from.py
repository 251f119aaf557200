"""Which container is poured from: chosen at the pour, opened, used up, new."""

from __future__ import annotations

import pytest
from django.urls import reverse
from django.utils import timezone

from jobs.solutions.actions import make_sheet
from jobs.stages.table import Stage
from mixing.models import Batch, Chemical, StockContainer, Vessel
from mixing.sheet.queries import sheet_of
from tests.jobs.taps import do, page, tap
from tests.makers import make_bench, make_container, make_reading, make_workorder

pytestmark = pytest.mark.django_db


@pytest.fixture
def client(client, installer):
    """An installer's tablet."""
    client.force_login(installer)
    return client


@pytest.fixture
def order(installer):
    """A full front in install, read at 22 °C, with a bench beside it."""
    make_bench()
    now = timezone.now()
    workorder = make_workorder(stage=Stage.INSTALL, at=now)
    make_reading(workorder, installer, at=now, air_c=22.0, rh_pct=50.0, panel_c=22.0)
    return workorder


def begin(order, by, kind, *codes):
    """The version of a guided sheet for these vessels."""
    chosen = list(Vessel.objects.filter(code__in=codes))
    made = do(by, make_sheet, workorder_pk=order.pk, kind=kind, vessels=chosen)
    return made["version"]


def strong(code="C6", **fields):
    """A container of 99 %, opened later than the other."""
    known = {"strength_pct": 99.0, "strength_basis": "vv", **fields}
    return make_container(code, **{"opened_on": timezone.localdate(), **known})


def pours(order):
    """The pours of the newest sheet."""
    (solution,) = sheet_of(order.sheets.latest("version").facts).solutions
    return solution.fills[0].pours


def test_another_strength_is_chosen_at_the_pour_and_worked_out_anew(
    client, order, installer
):
    strong()
    version = begin(order, installer, "tack", "T1")
    shown = page(client, "workorder_mix_steps", order.pk, "tack", version)
    assert "From another container" in shown
    args = (order.pk, "tack", version)
    answer = tap(client, "workorder_mix_from", *args, substance="alcohol", code="C6")
    assert answer.status_code == 303
    alcohol, water = pours(order)
    assert (alcohol.container, alcohol.amount.value) == ("C6", 170.0)
    assert water.amount.value > 780
    newest = order.sheets.latest("version").version
    tap(client, "workorder_mix_record", order.pk, "tack", newest, p=["ok", "ok"])
    assert Batch.objects.get().pours.get(substance="alcohol").container.code == "C6"
    assert StockContainer.objects.get(code="C1").left_ml == 5000


def test_an_unopened_container_can_be_chosen_and_is_open_from_then_on(
    client, order, installer
):
    strong("C2", strength_pct=70.0, opened_on=None)
    version = begin(order, installer, "tack", "T1")
    shown = page(client, "workorder_mix_steps", order.pk, "tack", version)
    assert "not opened yet" in shown
    args = (order.pk, "tack", version)
    tap(client, "workorder_mix_from", *args, substance="alcohol", code="c2")
    assert pours(order)[0].amount.value == 240.0
    assert StockContainer.objects.get(code="C2").opened_on


def test_a_code_of_something_else_says_what_it_holds(client, order, installer):
    make_container("C3", "soap")
    version = begin(order, installer, "tack", "T1")
    strong()
    shown = page(client, "workorder_mix_steps", order.pk, "tack", version)
    assert "From another container" in shown
    args = (order.pk, "tack", version)
    answer = tap(client, "workorder_mix_from", *args, substance="alcohol", code="C3")
    assert answer.status_code == 422
    assert "that does not go in here" in answer.content.decode()


def test_where_nothing_is_open_the_unopened_one_is_offered(client, order):
    StockContainer.objects.filter(code="C1").update(left_ml=0)
    strong("C2", strength_pct=70.0, opened_on=None)
    shown = page(client, "workorder_mix", order.pk, "tack")
    assert "C2 is there, not opened yet" in shown
    answer = tap(client, "workorder_mix_open", order.pk, "tack", "C2")
    assert answer.status_code == 303
    begun = tap(client, "workorder_mix_start", order.pk, "tack", vessels=["T1"])
    assert begun.status_code == 303
    assert pours(order)[0].container == "C2"


def test_soap_that_is_used_up_is_noticed(client, order):
    make_container("C3", "soap", left_ml=0)
    begun = tap(client, "workorder_mix_start", order.pk, "slip", vessels=["S1"])
    assert begun.status_code == 422, "begun without any soap"
    assert "Too little left" in begun.content.decode()
    assert "C3" in begun.content.decode()


def test_an_installer_names_a_product_that_is_not_listed(client, order):
    shown = client.get(reverse("mixing:stock")).content.decode()
    assert "A product that is not listed" in shown
    answer = client.post(
        reverse("mixing:chemical_name"),
        {
            "key": "key-of-the-name",
            "name": "99 % isopropyl alcohol",
            "substance": "alcohol",
            "strength_pct": "99",
            "strength_basis": "vv",
        },
    )
    assert answer.status_code == 303
    named = Chemical.objects.get(name="99 % isopropyl alcohol")
    assert named.strength_pct == 99
    shown = client.get(answer["Location"]).content.decode()
    assert f'value="{named.pk}" selected' in shown
