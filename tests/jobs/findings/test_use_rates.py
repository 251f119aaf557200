"""What is left over at emptying teaches the next sheet what a car takes."""

from __future__ import annotations

import pytest

from jobs.findings.use_rate_queries import use_rates
from jobs.models import MeasuredPanel, OrderPanel, WorkOrder
from jobs.panels.actions import lay_panel, make_all_ready
from jobs.solutions.actions import make_sheet, record_mix
from jobs.solutions.queries import mix_page
from jobs.solutions.request_queries import sheet_request, sizes_of
from jobs.stages.table import Stage
from mixing.bench.actions import empty_vessels
from mixing.models import Batch, Vessel
from mixing.recipes.spec import trade_recipe
from mixing.sheet import SolutionKind, mixing_sheet
from mixing.sheet.queries import newest_versions, sheet_of, spec_of
from mixing.sheet.stored import sheet_from_json, sheet_to_json
from shopapp.frame import perform
from tests.makers import (
    NOW,
    make_bench,
    make_booking,
    make_customer,
    make_reading,
    make_tap,
    make_vehicle,
    make_workorder,
)

pytestmark = pytest.mark.django_db

SLIP = trade_recipe(SolutionKind.SLIP)


@pytest.fixture
def order(installer):
    make_bench()
    workorder = make_workorder(stage=Stage.PREP)
    perform(make_tap(installer), make_all_ready, workorder_pk=workorder.pk)
    WorkOrder.objects.filter(pk=workorder.pk).update(stage=Stage.INSTALL)
    make_reading(workorder, installer)
    return workorder


def mix_slip(order, by, *codes):
    facts = {"workorder_pk": order.pk, "kind": "slip"}
    bottles = list(Vessel.objects.filter(code__in=codes))
    answer = perform(make_tap(by), make_sheet, vessels=bottles, **facts)
    row = order.sheets.get(pk=answer["pk"])
    (solution,) = sheet_of(row.facts).solutions
    poured = [[pour.amount.value for pour in fill.pours] for fill in solution.fills]
    made = perform(
        make_tap(by), record_mix, version=row.version, poured=poured, **facts
    )
    return Batch.objects.get(pk=made["pk"])


def lay_all(order, by):
    for panel in order.panels.all():
        perform(make_tap(by), lay_panel, workorder_pk=order.pk, panel_pk=panel.pk)


def empty(by, *codes, left_ml):
    bottles = list(Vessel.objects.filter(code__in=codes))
    perform(make_tap(by), empty_vessels, vessels=bottles, left_ml=left_ml)


def laid_m2(order):
    sizes = sizes_of(order, [panel.panel for panel in order.panels.all()])
    return sum(size.length_mm * size.width_mm for size in sizes.values()) / 1e6


def rate_of(kind=SolutionKind.SLIP):
    recipes = [spec_of(version) for version in newest_versions().values()]
    return next((rate for rate in use_rates(recipes) if rate.kind is kind), None)


def test_mixed_less_left_over_per_square_metre_is_the_shops_own_use(order, installer):
    batch = mix_slip(order, installer, "S1", "S2")
    lay_all(order, installer)
    empty(installer, "S1", "S2", left_ml={"S1": 300.0, "S2": 100.0})
    rate = rate_of()
    area = laid_m2(order)
    used = batch.volume_ml - 400
    assert rate.own.value == pytest.approx(used / area)
    # Drawn towards the default as if that had laid 20 m2.
    assert rate.ml_per_m2 == pytest.approx((used + 425 * 20) / (area + 20))
    assert rate.jobs == 1


def test_the_next_sheet_uses_it_and_says_both(client, order, installer):
    before = mixing_sheet(sheet_request(order, at=NOW)).solutions[0].needed.value
    mix_slip(order, installer, "S1", "S2")
    lay_all(order, installer)
    empty(installer, "S1", "S2", left_ml={"S1": 900.0, "S2": 900.0})
    car = make_vehicle(make_customer("Kim Oak"), plate="TST 202")
    following = make_workorder(booking=make_booking(vehicle=car), stage=Stage.INSTALL)
    make_reading(following, installer)
    sheet = mixing_sheet(sheet_request(following, at=NOW))
    assert sheet.solutions[0].needed.value < before
    card = mix_page(following, at=NOW).cards[0]
    assert card.solution.use.value == card.rate.ml_per_m2 < card.usual_use.value
    client.force_login(installer)
    page = client.get(f"/workorders/{following.pk}/mixing/").content.decode()
    assert "Use, from 1 job of yours" in page
    assert "A new shop&#x27;s start" in page or "A new shop's start" in page
    assert sheet_from_json(sheet_to_json(sheet)) == sheet


def test_what_nobody_measured_teaches_nothing(order, installer):
    mix_slip(order, installer, "S1", "S2")
    lay_all(order, installer)
    empty(installer, "S1", "S2", left_ml={"S1": 300.0})
    assert rate_of() is None


def test_a_batch_that_laid_nothing_teaches_nothing(order, installer):
    mix_slip(order, installer, "S1")
    empty(installer, "S1", left_ml={"S1": 950.0})
    assert rate_of() is None


def test_an_order_that_went_into_another_round_teaches_nothing(order, installer):
    mix_slip(order, installer, "S1")
    lay_all(order, installer)
    empty(installer, "S1", left_ml={"S1": 0.0})
    assert rate_of() is not None
    WorkOrder.objects.filter(pk=order.pk).update(round=2)
    assert rate_of() is None


def test_a_measured_panel_counts_by_its_measure(order, installer):
    mix_slip(order, installer, "S1")
    lay_all(order, installer)
    empty(installer, "S1", left_ml={"S1": 0.0})
    before = rate_of().own.value
    panel = OrderPanel.objects.filter(workorder=order).first()
    order.vehicle.model = order.vehicle.model or "Vantor"
    order.vehicle.save()
    MeasuredPanel.objects.create(
        model=order.vehicle.model.upper(),
        body=order.vehicle.body,
        panel=panel.panel,
        length_mm=3000,
        width_mm=2500,
        measured_at=NOW,
    )
    assert rate_of().own.value < before


def test_the_rates_take_as_many_queries_with_one_job_as_with_none(
    order, installer, django_assert_max_num_queries
):
    mix_slip(order, installer, "S1")
    lay_all(order, installer)
    empty(installer, "S1", left_ml={"S1": 0.0})
    with django_assert_max_num_queries(6):
        use_rates([SLIP])
