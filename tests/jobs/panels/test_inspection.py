"""Looking at the film: looks, defects, redo, the final look, likely causes."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.utils import timezone

from jobs.findings.queries import troubles
from jobs.findings.record_queries import asked_of, panel_past, read_order
from jobs.findings.trace import Verdict
from jobs.models import (
    Defect,
    FinalLook,
    OrderBatch,
    OrderSheet,
    PanelLook,
    WorkOrder,
)
from jobs.panels.actions import lay_panel
from jobs.panels.inspection_actions import look_at_panel, look_at_the_rest, redo_panel
from jobs.stages.queries import stage_facts
from jobs.stages.table import Stage
from jobs.workorders.actions import advance_stage
from mixing.models import Batch, Fill, Recipe, RecipeVersion, Vessel, WaterTest
from mixing.recipes.spec import SolutionKind, trade_recipe
from mixing.sheet.stored import recipe_to_json
from tests.jobs.taps import do, events, load_the_lists, make_order, page, tap
from tests.makers import make_person, make_reading

pytestmark = pytest.mark.django_db


@pytest.fixture
def tablet(client, installer):
    client.force_login(installer)
    return client


@pytest.fixture
def order(installer):
    return make_order(installer, stage=Stage.INSPECTION)


def hood(order):
    return order.panels.get(panel="hood")


def defect_on(tablet, order, *, panel: str = "hood", **data) -> Defect:
    row = order.panels.get(panel=panel)
    sent = {"kind": "dirt", "size_mm": "5", **data}
    answer = tap(tablet, "defect_open", order.pk, row.pk, **sent)
    assert answer.status_code == 303, answer.content.decode()
    return Defect.objects.latest("pk")


def test_one_tap_says_that_a_panel_was_looked_at(tablet, order):
    answer = tap(tablet, "panel_look", order.pk, hood(order).pk)
    assert PanelLook.objects.get().order_panel == hood(order)
    text = tablet.get(answer["Location"]).content.decode()
    assert f"/panels/{hood(order).pk}/unlook/" in text


def test_a_slip_of_the_finger_is_taken_back_by_the_same_person_only(
    tablet, installer, order
):
    do(make_person("installer", username="ines"), look_at_panel, **at(order))
    answer = tap(tablet, "panel_unlook", order.pk, hood(order).pk)
    assert answer.status_code == 422
    tap(tablet, "panel_look", order.pk, hood(order).pk)
    tap(tablet, "panel_unlook", order.pk, hood(order).pk)
    assert PanelLook.objects.count() == 1
    assert events(order)[-1] == "panel_look_undone"


def at(order) -> dict[str, int]:
    return {"workorder_pk": order.pk, "panel_pk": hood(order).pk}


def test_the_rest_is_looked_at_in_one_tap(tablet, order):
    tap(tablet, "panel_look", order.pk, hood(order).pk)
    tap(tablet, "panels_looked", order.pk)
    assert PanelLook.objects.count() == order.panels.count()
    assert tap(tablet, "panels_looked", order.pk).status_code == 422


def test_a_defect_without_a_kind_keeps_what_was_typed(tablet, order):
    answer = tap(
        tablet, "defect_open", order.pk, hood(order).pk, size_mm="3", note="by the gap"
    )
    text = answer.content.decode()
    assert answer.status_code == 422
    assert 'value="3"' in text
    assert 'value="by the gap"' in text
    assert not Defect.objects.exists()


def test_writing_a_defect_down_is_looking_at_the_panel(tablet, order):
    defect_on(tablet, order)
    assert PanelLook.objects.get().order_panel == hood(order)


@pytest.mark.parametrize(("size_mm", "outside"), [("2", False), ("2.1", True)])
def test_the_standard_lets_two_millimetres_pass(tablet, order, size_mm, outside):
    """The shipped standard; common practice, no published source."""
    assert defect_on(tablet, order, size_mm=size_mm).outside_standard is outside


def test_a_fourth_small_defect_on_a_panel_is_outside(tablet, order):
    sizes = [defect_on(tablet, order, size_mm="1").outside_standard for _ in range(4)]
    assert sizes == [False, False, False, True]


def test_a_touch_up_stays_in_the_round(tablet, order):
    defect = defect_on(tablet, order)
    tap(tablet, "defect_touch_up", order.pk, defect.pk)
    order.refresh_from_db()
    assert (order.stage_now, order.round) == (Stage.INSPECTION, 1)
    assert not stage_facts(order, now=timezone.now()).defects_outside


def test_two_people_settling_one_defect_the_second_reads_why(tablet, order):
    defect = defect_on(tablet, order)
    tap(tablet, "defect_touch_up", order.pk, defect.pk)
    answer = tap(tablet, "defect_watch", order.pk, defect.pk)
    assert answer.status_code == 422
    assert "This defect is settled already." in answer.content.decode()


def test_only_a_manager_accepts_and_says_why(tablet, client, manager, order):
    defect = defect_on(tablet, order)
    assert tap(tablet, "defect_accept", order.pk, defect.pk).status_code == 403
    client.force_login(manager)
    assert tap(client, "defect_accept", order.pk, defect.pk).status_code == 422
    tap(client, "defect_accept", order.pk, defect.pk, note="the customer has seen it")
    defect.refresh_from_db()
    assert defect.state == Defect.State.ACCEPTED


def test_new_film_leads_back_to_install_in_a_new_round(tablet, order):
    defect = defect_on(tablet, order)
    tap(tablet, "defect_redo", order.pk, defect.pk)
    order.refresh_from_db()
    assert (order.stage_now, order.round) == (Stage.INSTALL, 2)
    assert hood(order).laid_at is None
    assert "Laid" in page(tablet, "workorder_panels", order.pk)


def test_a_second_panel_joins_the_round_that_is_being_redone(tablet, order):
    first = defect_on(tablet, order)
    second = defect_on(tablet, order, panel="front_fender_left")
    tap(tablet, "defect_redo", order.pk, first.pk)
    tap(tablet, "defect_redo", order.pk, second.pk)
    order.refresh_from_db()
    assert order.round == 2
    assert order.panels.filter(laid_at=None).count() == 2


def test_a_defect_of_this_round_is_not_redone_while_film_is_laid(tablet, installer):
    order = make_order(installer, stage=Stage.INSTALL)
    do(installer, lay_panel, **at(order))
    defect = defect_on(tablet, order)
    answer = tap(tablet, "defect_redo", order.pk, defect.pk)
    assert "A redo starts from inspection" in answer.content.decode()
    text = page(tablet, "workorder_panels", order.pk)
    assert f"/defects/{defect.pk}/redo/" not in text


def test_a_redone_panel_holds_the_car_no_longer(tablet, installer, order):
    defect = defect_on(tablet, order)
    do(installer, redo_panel, workorder_pk=order.pk, defect_pk=defect.pk)
    order.refresh_from_db()
    assert stage_facts(order, now=timezone.now()).defects_outside == ("hood",)
    do(installer, lay_panel, **at(order))
    defect.refresh_from_db()
    assert defect.state == Defect.State.REDONE
    assert not stage_facts(order, now=timezone.now()).defects_outside


def test_taking_back_the_new_film_waits_for_the_redo_again(tablet, installer, order):
    defect = defect_on(tablet, order)
    do(installer, redo_panel, workorder_pk=order.pk, defect_pk=defect.pk)
    do(installer, lay_panel, **at(order))
    tap(tablet, "panel_unlay", order.pk, hood(order).pk)
    defect.refresh_from_db()
    assert defect.state == Defect.State.REDO


def test_the_other_panels_need_no_second_look_in_the_new_round(
    tablet, installer, order
):
    do(installer, look_at_the_rest, workorder_pk=order.pk)
    defect = defect_on(tablet, order)
    do(installer, redo_panel, workorder_pk=order.pk, defect_pk=defect.pk)
    do(installer, lay_panel, **at(order))
    order.refresh_from_db()
    assert stage_facts(order, now=timezone.now()).panels_unseen == ("hood",)


def in_cure(installer, order, *, over: bool = True) -> WorkOrder:
    do(installer, look_at_the_rest, workorder_pk=order.pk)
    do(installer, advance_stage, workorder_pk=order.pk, to=Stage.CURE)
    ago = timedelta(hours=1 if over else -5)
    WorkOrder.objects.filter(pk=order.pk).update(cure_over_at=timezone.now() - ago)
    order.refresh_from_db()
    return order


def test_one_tap_records_the_final_look(tablet, installer, order):
    in_cure(installer, order)
    tap(tablet, "finallook_record", order.pk, outcome="fine")
    assert FinalLook.objects.get().outcome == "fine"
    assert events(order)[-1] == "final_look"


def test_the_final_look_waits_for_cure(tablet, order):
    answer = tap(tablet, "finallook_record", order.pk, outcome="fine")
    assert answer.status_code == 422
    assert "The final look comes after the cure time." in answer.content.decode()


def test_a_final_look_does_not_redo_without_a_defect(tablet, installer, order):
    in_cure(installer, order)
    answer = tap(tablet, "finallook_record", order.pk, outcome="redo")
    assert answer.status_code == 422
    assert not FinalLook.objects.exists()


def test_a_redo_from_cure_is_what_the_final_look_found(tablet, installer, order):
    in_cure(installer, order)
    defect = defect_on(tablet, order, kind="lifted_edge", size_mm="14")
    tap(tablet, "defect_redo", order.pk, defect.pk)
    look = FinalLook.objects.get()
    assert (look.outcome, look.round) == ("redo", 1)
    order.refresh_from_db()
    assert (order.stage_now, order.round) == (Stage.INSTALL, 2)


def mixed(order, kind: str, *, at, **fields) -> Batch:
    recipe, _ = Recipe.objects.get_or_create(kind=kind, name=kind)
    version, _ = RecipeVersion.objects.get_or_create(
        recipe=recipe,
        number=1,
        defaults={
            "spec": recipe_to_json(trade_recipe(SolutionKind(kind))),
            "why": "test",
        },
    )
    batch = Batch.objects.create(
        number=f"B-{kind}",
        kind=kind,
        recipe_version=version,
        mixed_at=at,
        use_by=at + timedelta(hours=12),
        **{"volume_ml": 950.0, **fields},
    )
    facts = {
        "solutions": [
            {"kind": "slip", "fills": [{"soap": {"figure": 0}, "strength": None}]},
            {"kind": "tack", "fills": [{"soap": None, "strength": {"figure": 1}}]},
        ],
        "figures": [{"value": 2.5}, {"value": 17.7}],
    }
    sheet, _ = OrderSheet.objects.get_or_create(
        workorder=order,
        version=1,
        defaults={"recipe_versions": {}, "facts": facts, "made_at": at},
    )
    OrderBatch.objects.create(workorder=order, batch=batch, sheet=sheet)
    return batch


def laid_with_a_record(installer) -> WorkOrder:
    """A hood laid hot, with half the soap the sheet asked for, from a dirty bottle."""
    order = make_order(installer, stage=Stage.INSTALL)
    now = timezone.now()
    water = WaterTest.objects.create(
        source="tap", hardness_mg_per_l=310.0, tested_on=now.date()
    )
    old = mixed(order, "slip", at=now - timedelta(days=1), soap_ml=2.4)
    Batch.objects.filter(pk=old.pk).update(number="B-old")
    slip = Batch.objects.create(
        number="B-new",
        kind="slip",
        recipe_version=old.recipe_version,
        water=water,
        volume_ml=950.0,
        soap_ml=1.2,
        mixed_at=now - timedelta(minutes=5),
        use_by=now + timedelta(hours=12),
    )
    OrderBatch.objects.create(
        workorder=order, batch=slip, sheet=OrderSheet.objects.get()
    )
    vessel = Vessel.objects.create(
        code="S1", kind="slip", capacity_ml=1000, usable_ml=950
    )
    later = now - timedelta(minutes=1)
    Fill.objects.create(batch=old, vessel=vessel, volume_ml=950, emptied_at=later)
    Fill.objects.create(batch=slip, vessel=vessel, volume_ml=950)
    OrderBatch.objects.filter(batch=old).delete()
    make_reading(order, at=now, air_c=29.0, panel_c=31.0)
    do(installer, lay_panel, **at(order))
    return order


def order_record(order, defect):
    """What the record holds of a defect's panel in the round it was laid."""
    return panel_past(
        order,
        defect.order_panel,
        kind=defect.kind,
        round=defect.round,
        known=read_order(order),
    ).record


def test_the_record_of_a_defect_holds_what_its_panel_was_laid_with(tablet, installer):
    order = laid_with_a_record(installer)
    record = order_record(order, defect_on(tablet, order, kind="grab"))
    assert record.slip_ml_per_l == pytest.approx(1.2 / 0.950)
    assert record.slip_asked_ml_per_l == 2.5
    assert (record.panel_c, record.air_c) == (31.0, 29.0)
    assert record.hardness_mg_per_l == 310.0
    assert record.vessels_kept_kind is True
    assert record.vessels_rinsed is False


def test_the_likely_causes_stand_beside_the_defect(tablet, installer):
    order = laid_with_a_record(installer)
    defect_on(tablet, order, kind="grab")
    verdicts = {cause.code: cause.verdict for cause in troubles(order)[0].causes}
    assert verdicts["slip_weak"] is Verdict.POINTS_TO
    assert verdicts["hot"] is Verdict.POINTS_TO
    assert verdicts["hard_water"] is Verdict.POINTS_TO
    assert verdicts["alcohol_in_slip"] is Verdict.AGAINST
    assert verdicts["slip_dried"] is Verdict.NOT_RECORDED
    text = page(tablet, "workorder_panels", order.pk)
    assert "Slip held 1.26 mL/L of soap; the sheet asked for 2.5 mL/L." in text
    assert "Look at the solutions first." in text


def test_for_dirt_the_solutions_are_not_looked_at_first(tablet, order):
    defect_on(tablet, order, kind="dirt")
    text = page(tablet, "workorder_panels", order.pk)
    assert "The solutions are hardly to blame for this." in text


def test_after_a_redo_the_first_defect_keeps_the_record_of_its_own_round(
    tablet, installer
):
    order = laid_with_a_record(installer)
    defect = defect_on(tablet, order, kind="grab")
    do(installer, advance_stage, workorder_pk=order.pk, to=Stage.INSPECTION)
    do(installer, redo_panel, workorder_pk=order.pk, defect_pk=defect.pk)
    make_reading(order, at=timezone.now(), air_c=20.0, panel_c=20.0)
    do(installer, lay_panel, **at(order))
    order.refresh_from_db()
    assert order_record(order, defect).panel_c == 31.0
    again = defect_on(tablet, order, kind="grab")
    assert order_record(order, again).panel_c == 20.0


def test_ticks_of_the_lists_speak_for_or_against_a_cause(tablet, installer):
    load_the_lists()
    order = make_order(installer, stage=Stage.INSPECTION)
    rows = order.checklists.filter(version__checklist__code="install")
    rows.get().answers.create(
        item="heat_set_the_edges", ticked=True, by=installer, at=timezone.now()
    )
    record = order_record(order, defect_on(tablet, order, kind="lifted_edge"))
    assert record.edges_heat_set is True
    assert record.edges_dried is False


def test_without_lists_the_record_is_silent_about_them(tablet, order):
    record = order_record(order, defect_on(tablet, order, kind="lifted_edge"))
    assert record.edges_heat_set is None
    assert record.wax_off is None


def test_a_sheet_that_did_not_ask_for_a_kind_tells_nothing_of_it():
    assert asked_of({"solutions": [], "figures": []}, "slip") == {}
