"""What a field takes, the computation takes; what it cannot take is asked about."""

from __future__ import annotations

import html
from dataclasses import replace

import pytest
from django.urls import reverse
from django.utils import timezone

from jobs.condition.reading_actions import take_reading
from jobs.coverage.catalogue import Package
from jobs.models import OrderSheet, Paper
from jobs.papers.actions import issue_paper
from jobs.papers.html_facts import paper_html
from jobs.rules.forms import AcceptanceForm
from jobs.solutions.actions import make_sheet
from jobs.stages.table import Stage
from mixing.models import Dispenser, Reading, Recipe, Vessel
from mixing.recipes.actions import change_recipe
from mixing.sheet.stored import recipe_from_json as recipe_as_kept
from shopapp.frame import Refused, perform
from shopapp.models import Shop
from tests.makers import (
    make_bench,
    make_booking,
    make_reading,
    make_tap,
    make_workorder,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def order(manager):
    """A full front that is to be laid now, on a bench that can mix, its sheet kept."""
    make_bench()
    workorder = make_workorder(manager, stage=Stage.INSTALL, at=timezone.now())
    make_reading(workorder, manager, at=timezone.now())
    facts = {"workorder_pk": workorder.pk}
    perform(make_tap(manager, at=timezone.now()), make_sheet, **facts)
    return workorder


@pytest.fixture
def tablet(client, manager):
    """The manager's tablet; a page that fails is an answer, as it is in the shop."""
    client.force_login(manager)
    client.raise_request_exception = False
    return client


PAGES = ("mixing", "panels", "safety", "detail", "checks", "heat", "papers", "trouble")


def addresses(order) -> list[str]:
    pages = [reverse(f"jobs:workorder_{name}", args=[order.pk]) for name in PAGES]
    kinds = ("slip", "tack", "gel")
    return [
        *pages,
        *(reverse("jobs:workorder_mix", args=[order.pk, kind]) for kind in kinds),
        reverse("jobs:safety"),
        reverse("jobs:floor"),
    ]


def opened(tablet, order) -> dict[str, int]:
    return {url: tablet.get(url).status_code for url in addresses(order)}


def words(page: bytes) -> str:
    return " ".join(html.unescape(page.decode()).split())


def test_a_panel_of_95_in_a_metric_shop_is_asked_about_at_its_field(tablet, order):
    url = reverse("jobs:reading_take", args=[order.pk])
    answer = tablet.post(
        url,
        {"submission": "k", "air_c": "24", "rh_pct": "55", "panel_c": "95"},
    )
    assert "was it in °F?" in words(answer.content)
    assert not Reading.objects.filter(panel_c=95).exists()


def test_the_press_without_the_form_hears_the_same(order, manager):
    facts = {"workorder_pk": order.pk, "air_c": 24.0, "rh_pct": 55.0}
    told = ""
    try:
        perform(make_tap(manager), take_reading, **facts, panel_c=95.0)
    except Refused as refused:
        told = str(refused)
    assert "was it in °F?" in told


@pytest.mark.parametrize(
    ("air", "panel", "rh"),
    [(-20, -30, 1), (-20, 90, 100), (60, -30, 100), (60, 90, 1)],
)
def test_every_reading_that_is_taken_can_be_worked_with(
    tablet, order, manager, air, panel, rh
):
    make_reading(order, manager, at=timezone.now(), air_c=air, panel_c=panel, rh_pct=rh)
    assert set(opened(tablet, order).values()) == {200}


@pytest.mark.parametrize("panel", [95, 110])
def test_a_reading_kept_before_gives_a_sentence_and_no_failed_page(
    tablet, order, panel
):
    Reading.objects.update(panel_c=panel)
    assert set(opened(tablet, order).values()) == {200}
    page = tablet.get(reverse("jobs:workorder_mixing", args=[order.pk]))
    assert f"not {panel} " in words(page.content)
    assert "No sheet yet" not in words(page.content)


def test_a_work_order_prints_with_a_reading_kept_before(order, manager):
    Reading.objects.update(panel_c=95)
    failed = ""
    try:
        facts = {"workorder_pk": order.pk, "kind": "work_order", "size": "A4"}
        perform(make_tap(manager, at=timezone.now()), issue_paper, **facts)
        paper_html(Paper.objects.get())
    except ValueError as error:
        failed = str(error)
    assert not failed


def test_the_largest_use_and_reserve_of_a_recipe_can_be_worked_with(tablet, manager):
    """What the form of a recipe takes is more than 200 L on a whole car."""
    make_bench()
    slip = Recipe.objects.get(kind="slip")
    known = recipe_as_kept(slip.versions.first().spec)
    most = replace(
        known, use_low_ml_per_m2=5000.0, use_high_ml_per_m2=5000.0, reserve_share=5.0
    )
    facts = {"recipe_pk": slip.pk, "spec": most, "why": "a test"}
    perform(make_tap(manager), change_recipe, **facts)
    car = make_workorder(
        manager,
        booking=make_booking(manager, package=Package.FULL_VEHICLE, at=timezone.now()),
        stage=Stage.INSTALL,
        at=timezone.now(),
    )
    assert set(opened(tablet, car).values()) == {200}


def test_a_dispenser_that_is_off_by_all_it_reads_can_be_worked_with(tablet, manager):
    make_bench()
    car = make_workorder(manager, stage=Stage.INSTALL, at=timezone.now())
    make_reading(car, manager, at=timezone.now())
    OrderSheet.objects.all().delete()
    Dispenser.objects.update(error_ml=100.0)
    Vessel.objects.update(capacity_ml=60.0, usable_ml=50.0)
    assert set(opened(tablet, car).values()) == {200}


def test_an_end_that_a_refusal_names_is_taken(tablet):
    """100 mm is told as 3.9 in, which is 99.06 mm."""
    Shop.objects.update(units="us")
    form = AcceptanceForm({"distance_mm": "3"})
    assert "3.9" in str(form.errors["distance_mm"])
    assert "distance_mm" not in AcceptanceForm({"distance_mm": "3.9"}).errors
