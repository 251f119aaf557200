"""The guided mix of an order: what is kept, what is refused, what stays untouched."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace

import pytest
from django.db import connection

from jobs.models import OrderBatch, OrderSheet, OrderSolution
from jobs.solutions.actions import make_sheet, record_mix, skip_solution, take_batch
from jobs.solutions.queries import mix_page
from jobs.solutions.topping_up_actions import top_up
from jobs.stages.table import Stage
from mixing.bench.actions import empty_vessels
from mixing.chemistry.alcohol import blend
from mixing.models import (
    Batch,
    Fill,
    Recipe,
    StockContainer,
    StockMovement,
    Vessel,
)
from mixing.recipes.actions import change_recipe
from mixing.sheet.queries import newest_versions, sheet_of, solution_of, spec_of
from shopapp.frame import Refused, perform
from tests.makers import (
    NOW,
    make_bench,
    make_booking,
    make_container,
    make_customer,
    make_person,
    make_reading,
    make_tap,
    make_vehicle,
    make_vessel,
    make_workorder,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def order(installer):
    """A full front in install, read, with a bench beside it."""
    make_bench()
    workorder = make_workorder(stage=Stage.INSTALL)
    make_reading(workorder, installer)
    return workorder


def vessels(*codes):
    return list(Vessel.objects.filter(code__in=codes))


def plan(order, by, kind, *codes):
    answer = perform(
        make_tap(by),
        make_sheet,
        workorder_pk=order.pk,
        kind=kind,
        vessels=vessels(*codes),
    )
    return OrderSheet.objects.get(pk=answer["pk"])


def as_planned(row):
    (solution,) = sheet_of(row.facts).solutions
    return [[pour.amount.value for pour in fill.pours] for fill in solution.fills]


def mix(order, by, kind, *codes, poured=None, key=""):
    row = plan(order, by, kind, *codes)
    answer = perform(
        make_tap(by, key=key),
        record_mix,
        workorder_pk=order.pk,
        version=row.version,
        kind=kind,
        poured=poured or as_planned(row),
    )
    return Batch.objects.get(pk=answer["pk"])


def refusal(do, *args, **facts):
    with pytest.raises(Refused) as refused:
        do(*args, **facts)
    return " ".join(str(reason) for reason in refused.value.reasons)


def another_order(at=NOW):
    car = make_vehicle(make_customer("Kim Oak"), plate="TST 202")
    return make_workorder(booking=make_booking(vehicle=car), stage=Stage.INSTALL)


def test_a_mix_is_kept_as_batch_fills_pours_and_tie(order, installer):
    batch = mix(order, installer, "slip", "S1", "S2", "S3", "S4")
    assert batch.number == "B-31-0001"
    assert batch.mixed_by == installer
    assert sorted(f.vessel.code for f in batch.fills.all()) == ["S1", "S2", "S3", "S4"]
    assert [(p.substance, p.vessels) for p in batch.pours.all()] == [
        ("water", 4),
        ("soap", 4),
    ]
    assert set(Vessel.objects.filter(kind="slip").values_list("state", flat=True)) == {
        "filled"
    }
    tie = OrderBatch.objects.get(workorder=order)
    assert (tie.batch, tie.sheet) == (batch, order.sheets.first())
    solution = OrderSolution.objects.get(workorder=order, kind="slip")
    assert solution.state == OrderSolution.State.MIXED
    assert order.events.last().what == "mixed"


def test_a_mix_draws_the_alcohol_that_was_poured(order, installer):
    batch = mix(order, installer, "tack", "T1")
    poured = batch.pours.get(substance="alcohol").poured_ml
    container = StockContainer.objects.get(code="C1")
    assert container.left_ml == pytest.approx(5000 - poured)
    movement = StockMovement.objects.get(container=container)
    assert (movement.what, movement.batch) == ("poured", batch)
    assert movement.change_ml == pytest.approx(-poured)


def test_the_strength_of_a_batch_follows_what_was_poured(order, installer):
    # CRC, Lebo, Chu & Thompson densities by mixing.chemistry.alcohol: 200 mL of
    # 91 % with 780 mL of water, not the 185 mL that the sheet planned.
    batch = mix(order, installer, "tack", "T1", poured=[[200.0, 780.0]])
    real = blend(stock_ml=200, stock_vv_pct=91, water_ml=780)
    assert batch.vv_pct == pytest.approx(real.vv_pct, abs=0.01)
    assert batch.volume_ml == pytest.approx(real.volume_ml, abs=0.1)
    assert batch.vv_low_pct < batch.vv_pct < batch.vv_high_pct
    (fill,) = solution_of(batch).fills
    assert fill.strength.value == pytest.approx(batch.vv_pct)
    assert [p.planned_ml for p in batch.pours.all()] == [185.0, 780.0]
    assert [p.poured_ml for p in batch.pours.all()] == [200.0, 780.0]


def test_a_double_press_keeps_one_batch(order, installer):
    row = plan(order, installer, "tack", "T1")
    for _ in range(2):
        perform(
            make_tap(installer, key="same-key-twice"),
            record_mix,
            workorder_pk=order.pk,
            version=row.version,
            kind="tack",
            poured=as_planned(row),
        )
    assert Batch.objects.count() == 1
    assert StockMovement.objects.count() == 1


def test_the_same_sheet_is_not_recorded_twice(order, installer):
    row = plan(order, installer, "tack", "T1")
    mix(order, installer, "tack", "T1")
    said = refusal(
        perform,
        make_tap(installer),
        record_mix,
        workorder_pk=order.pk,
        version=row.version,
        kind="tack",
        poured=as_planned(row),
    )
    assert "T1 is not rinsed yet" in said
    assert Batch.objects.count() == 1


def test_a_vessel_of_another_kind_is_refused(order, installer):
    said = refusal(plan, order, installer, "slip", "T1")
    assert said == "T1 is a tack vessel for life; slip does not go into it."
    assert order.sheets.count() == 1


def test_a_vessel_that_is_not_rinsed_is_refused(order, installer):
    mix(order, installer, "tack", "T1")
    assert "T1 is not rinsed yet" in refusal(plan, order, installer, "tack", "T1")


def test_a_vessel_of_somebody_else_is_refused(order, installer):
    batch = mix(order, installer, "tack", "T1")
    other = another_order()
    make_reading(other, installer)
    said = refusal(plan, other, installer, "tack", "T1")
    assert f"T1 holds batch {batch.number} of {order.number}" in said


def test_more_than_the_container_holds_is_refused_and_nothing_is_kept(order, installer):
    row = plan(order, installer, "tack", "T1")
    StockContainer.objects.update(left_ml=100)
    said = refusal(
        perform,
        make_tap(installer),
        record_mix,
        workorder_pk=order.pk,
        version=row.version,
        kind="tack",
        poured=as_planned(row),
    )
    assert "C1 holds only 100" in said
    assert not Batch.objects.exists()
    assert StockContainer.objects.get().left_ml == 100
    assert Vessel.objects.get(code="T1").state == Vessel.State.CLEAN


def test_too_little_stock_is_said_before_anything_is_poured(order, installer):
    StockContainer.objects.update(left_ml=100)
    assert "C1" in refusal(plan, order, installer, "tack", "T1")


def test_soap_waits_for_a_reading(installer):
    make_bench()
    workorder = make_workorder(stage=Stage.INSTALL)
    assert "Read panel and air" in refusal(plan, workorder, installer, "slip", "S1")


def test_a_changed_recipe_leaves_sheet_and_batch_as_they_were(
    order, installer, manager
):
    batch = mix(order, installer, "tack", "T1")
    row = order.order_batches.get().sheet
    facts = row.facts
    before = (batch.vv_pct, batch.facts)
    recipe = Recipe.objects.get(kind="tack")
    spec = replace(spec_of(newest_versions()["tack"]), vv_pct=19.0, key="tack-2")
    perform(
        make_tap(manager), change_recipe, recipe_pk=recipe.pk, spec=spec, why="too weak"
    )
    row.refresh_from_db()
    batch.refresh_from_db()
    assert row.facts == facts
    assert (batch.vv_pct, batch.facts) == before
    assert batch.recipe_version.number == 1
    stronger = mix(order, installer, "tack", "T2")
    assert stronger.recipe_version.number == 2
    assert stronger.vv_pct > batch.vv_pct


def test_a_reading_keeps_the_sheet_that_follows_from_it(order, installer):
    row = order.sheets.get()
    assert row.reading == order.order_readings.get().reading
    assert sheet_of(row.facts).request.conditions.panel_c == 31.0
    assert [e.what for e in order.events.all()][-2:] == ["reading", "sheet"]


def test_a_sheet_stays_until_a_pour_changes_by_a_graduation(order, installer):
    make_reading(order, installer, panel_c=30.8)
    assert order.sheets.count() == 1
    make_reading(order, installer, panel_c=36.0)
    assert order.sheets.count() == 2
    page = mix_page(order, at=NOW)
    assert (page.row.version, page.replaces, page.changed) == (2, 1, ())
    assert any("soap changes from" in str(sentence) for sentence in page.since)


def test_no_sheet_is_kept_once_all_panels_are_laid(order, installer):
    order.panels.update(laid_at=NOW)
    make_reading(order, installer, panel_c=36.0)
    assert order.sheets.count() == 1


def test_a_sheet_says_when_a_proposed_vessel_is_not_clean_any_more(order):
    Vessel.objects.filter(code="T1").update(state=Vessel.State.TO_RINSE)
    said = [str(sentence) for sentence in mix_page(order, at=NOW).changed]
    assert said == ["T1 cannot be filled now: a new sheet takes others."]


def test_the_same_plan_is_kept_once_and_a_new_one_replaces_it(order, installer):
    first = plan(order, installer, "slip", "S1")
    assert plan(order, installer, "slip", "S1") == first
    second = plan(order, installer, "slip", "S1", "S2")
    assert second.version == first.version + 1


def test_vessels_that_are_chosen_are_all_filled(order, installer):
    batch = mix(order, installer, "tack", "T1", "T2")
    assert batch.fills.count() == 2


def test_not_needed_settles_the_solution(order, installer):
    perform(make_tap(installer), skip_solution, workorder_pk=order.pk, kind="tack")
    solution = OrderSolution.objects.get(workorder=order, kind="tack")
    assert solution.state == OrderSolution.State.NOT_NEEDED
    assert order.events.last().what == "solution_not_needed"


def test_what_was_mixed_is_not_struck_off(order, installer):
    mix(order, installer, "tack", "T1")
    said = refusal(
        perform,
        make_tap(installer),
        skip_solution,
        workorder_pk=order.pk,
        kind="tack",
    )
    assert "B-31-0001" in said


def test_a_fresh_batch_serves_another_order_too(order, installer):
    batch = mix(order, installer, "tack", "T1")
    other = another_order()
    perform(make_tap(installer), take_batch, workorder_pk=other.pk, batch_pk=batch.pk)
    assert other.order_batches.get().batch == batch
    assert OrderSolution.objects.get(workorder=other).state == "mixed"


def test_an_emptied_batch_is_not_taken(order, installer):
    batch = mix(order, installer, "tack", "T1")
    perform(make_tap(installer), empty_vessels, vessels=vessels("T1"))
    said = refusal(
        perform,
        make_tap(installer),
        take_batch,
        workorder_pk=another_order().pk,
        batch_pk=batch.pk,
    )
    assert said == f"Batch {batch.number} was emptied: mix a new one."


def test_topping_up_moves_solution_within_one_batch(order, installer):
    batch = mix(order, installer, "tack", "T1", "T2")
    Fill.objects.filter(vessel__code="T2").update(volume_ml=300)
    t1, t2 = vessels("T1", "T2")
    perform(
        make_tap(installer),
        top_up,
        workorder_pk=order.pk,
        from_vessel=t1,
        to_vessel=t2,
        volume_ml=250.0,
    )
    held = {fill.vessel.code: fill.volume_ml for fill in batch.fills.all()}
    assert held["T2"] == 550
    assert held["T1"] == pytest.approx(batch.volume_ml / 2 - 250)


def test_topping_up_never_mixes_two_batches(order, installer):
    mix(order, installer, "tack", "T1")
    mix(order, installer, "tack", "T2")
    t1, t2 = vessels("T1", "T2")
    said = refusal(
        perform,
        make_tap(installer),
        top_up,
        workorder_pk=order.pk,
        from_vessel=t1,
        to_vessel=t2,
        volume_ml=50.0,
    )
    assert "T2 is not rinsed yet" in said


def test_a_pump_sprayer_is_filled_only_as_far_as_needed(order, installer):
    Vessel.objects.filter(kind="slip").update(retired=True)
    make_vessel("P1", "slip", capacity_ml=8000, usable_ml=7500, form="sprayer")
    batch = mix(order, installer, "slip", "P1")
    assert 950 < batch.volume_ml < 7500


@pytest.mark.django_db(transaction=True)
def test_two_people_mixing_from_one_container_never_take_more_than_it_holds():
    make_bench()
    StockContainer.objects.update(left_ml=250)
    people = [make_person("installer", username=f"inst{n}") for n in (1, 2)]
    orders = [make_workorder(stage=Stage.INSTALL), another_order()]
    rows = []
    for number, (who, workorder) in enumerate(zip(people, orders, strict=True), 1):
        make_reading(workorder, who)
        rows.append(plan(workorder, who, "tack", f"T{number}"))

    def press(number):
        try:
            perform(
                make_tap(people[number]),
                record_mix,
                workorder_pk=orders[number].pk,
                version=rows[number].version,
                kind="tack",
                poured=as_planned(rows[number]),
            )
        except Refused as refused:
            return str(refused)
        finally:
            connection.close()
        return "kept"

    with ThreadPoolExecutor(2) as pool:
        answers = sorted(pool.map(press, (0, 1)))
    assert answers[1] == "kept"
    assert "C1 holds only 65" in answers[0]
    assert StockContainer.objects.get().left_ml == pytest.approx(65)
    assert Batch.objects.count() == 1


def test_several_containers_are_drawn_oldest_first(order, installer):
    StockContainer.objects.update(left_ml=60)
    make_container("C2", strength_pct=70.0, strength_basis="vv", opened_on=NOW.date())
    batch = mix(order, installer, "tack", "T1")
    drawn = [p.container.code for p in batch.pours.filter(substance="alcohol")]
    assert drawn == ["C1", "C2"]
