"""What is in a vessel: now, past its time, rinsed, unknown; filled up over a rest."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.urls import reverse
from django.utils import timezone

from jobs.solutions.actions import make_sheet, record_mix
from jobs.stages.table import Stage
from mixing.models import Batch, Fill, Vessel
from mixing.sheet.queries import sheet_of
from tests.jobs.taps import do
from tests.makers import make_bench, make_reading, make_workorder

pytestmark = pytest.mark.django_db


@pytest.fixture
def client(client, installer):
    """An installer's tablet."""
    client.force_login(installer)
    return client


@pytest.fixture
def order(installer):
    """A full front in install, read, with a bench beside it."""
    make_bench()
    now = timezone.now()
    workorder = make_workorder(stage=Stage.INSTALL, at=now)
    make_reading(workorder, installer, at=now)
    return workorder


def mixed(order, by, kind, *codes):
    """A batch of this order in these vessels, as planned."""
    chosen = list(Vessel.objects.filter(code__in=codes))
    made = do(by, make_sheet, workorder_pk=order.pk, kind=kind, vessels=chosen)
    (solution,) = sheet_of(order.sheets.get(pk=made["pk"]).facts).solutions
    poured = [[pour.amount.value for pour in fill.pours] for fill in solution.fills]
    facts = {"workorder_pk": order.pk, "version": made["version"], "kind": kind}
    return Batch.objects.get(pk=do(by, record_mix, **facts, poured=poured)["pk"])


def look(client, code):
    """The page of a vessel."""
    return client.get(reverse("mixing:vessel_detail", args=[code])).content.decode()


def press(client, code, what):
    """A button of that page."""
    url = reverse("mixing:vessel_detail", args=[code]) + f"{what}/"
    return client.post(url, {"key": f"key-of-{what}"})


def test_the_page_of_a_bottle_says_what_is_in_it_now(client, order, installer):
    batch = mixed(order, installer, "tack", "T1")
    shown = look(client, "T1")
    assert "In it now" in shown
    now = shown[shown.index("In it now") : shown.index("Its label")]
    assert batch.number in now
    assert f"{batch.vv_pct:.1f}" in now
    assert "in use" in now


def test_a_bottle_past_its_time_is_called_so_on_its_page(client, order, installer):
    mixed(order, installer, "tack", "T1")
    Batch.objects.update(use_by=timezone.now() - timedelta(minutes=5))
    assert "past its time" in look(client, "T1")


def test_an_empty_bottle_says_that_it_is_rinsed(client, order, installer):
    mixed(order, installer, "tack", "T1")
    assert "Emptied and rinsed" in look(client, "T1")
    assert press(client, "T1", "rinsed").status_code == 303
    assert "clean and empty" in look(client, "T1")
    assert Vessel.objects.get(code="T1").state == Vessel.State.CLEAN
    assert not Fill.objects.filter(emptied_at__isnull=True).exists()


def test_liquid_found_in_a_clean_bottle_makes_it_unknown_until_rinsed(client, order):
    assert "Something is in it" in look(client, "S1")
    assert press(client, "S1", "unknown").status_code == 303
    shown = look(client, "S1")
    assert "nobody knows" in shown
    scanned = client.post(
        reverse("jobs:workorder_mix_scan", args=[order.pk, "slip"]),
        {"code": "S1", "key": "key-of-the-scan"},
    )
    assert "S1 is not rinsed yet" in scanned.content.decode()
    assert press(client, "S1", "rinsed").status_code == 303
    assert Vessel.objects.get(code="S1").state == Vessel.State.CLEAN


def test_the_bench_lists_an_unknown_bottle_to_be_rinsed(client, order):
    Vessel.objects.filter(code="S2").update(state="unknown")
    shown = client.get(reverse("mixing:bench")).content.decode()
    rinse = shown[shown.index('id="rinse"') :]
    assert "S2" in rinse[: rinse.index("</section>")]
    assert "unknown" in shown
