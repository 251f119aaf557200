"""Mixed by the sheet on the wall: one press, or the one number that was otherwise."""

from __future__ import annotations

import pytest
from django.urls import reverse
from django.utils import timezone

from jobs.models import WorkOrder
from jobs.stages.table import Stage
from mixing.models import Batch
from tests.jobs.taps import page
from tests.makers import make_bench, make_reading, make_workorder
from tests.read_page import ReadPage

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


def by_sheet(order, kind, name="workorder_mix_record"):
    """The address that a mix by the whole sheet is kept at."""
    version = order.sheets.latest("version").version
    return reverse(f"jobs:{name}", args=[order.pk, kind, version])


def test_the_sheet_is_kept_as_mixed_in_one_press(client, order):
    url = reverse("jobs:workorder_mixing", args=[order.pk])
    sheet = page(client, "workorder_mixing", order.pk)
    form = ReadPage(sheet, url=f"http://testserver{url}").form(
        f"http://testserver{by_sheet(order, 'tack')}"
    )
    assert form, "no button on the sheet keeps it as it is shown"
    assert "Mixed as shown" in sheet
    answer = client.post(by_sheet(order, "tack"), form.data)
    assert answer.status_code == 303
    batch = Batch.objects.get()
    assert [p.poured_ml for p in batch.pours.all()] == [185.0, 780.0]
    assert order.order_batches.get().batch == batch
    again = page(client, "workorder_mixing", order.pk)
    assert by_sheet(order, "tack") not in again, "pressed once, it is gone"


def test_unlike_the_sheet_is_one_number_typed(client, order):
    sheet = page(client, "workorder_mixing", order.pk)
    steps = by_sheet(order, "tack", "workorder_mix_steps")
    assert f'action="{steps}"' in sheet, "nowhere to type what was otherwise"
    shown = client.get(steps, {"all": "1", "p": ["190", "780"]}).content.decode()
    assert "All is poured" in shown
    shown = client.get(steps, {"all": "1", "p": ["220", "780"]}).content.decode()
    assert "is wanted" in shown
    assert "Set it right" in shown


def test_a_redo_is_offered_its_own_bottles_on_the_sheet(client, order):
    client.post(by_sheet(order, "tack"), {"p": ["ok", "ok"], "key": "key-of-the-mix"})
    batch = Batch.objects.get()
    WorkOrder.objects.filter(pk=order.pk).update(round=2)
    order.solutions.create(kind="tack", round=2, state="waiting")
    sheet = page(client, "workorder_mixing", order.pk)
    assert batch.number in sheet
    assert "Use it again" in sheet
