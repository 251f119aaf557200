"""What is done on a return visit, who pays for it, and what is counted."""

from __future__ import annotations

from datetime import UTC, datetime, time
from decimal import Decimal

import pytest
from django.utils import timezone

from jobs.handover.actions import give_car
from jobs.handover.queries import leaving_cars
from jobs.invoices.actions import make_invoice
from jobs.models import (
    Defect,
    FilmReservation,
    Paper,
    ReturnVisit,
)
from jobs.opening.hours import Opening
from jobs.panels.actions import take_back_laid
from jobs.papers.work_order_facts import work_order_facts
from jobs.plan.forecast_actions import _ready_already
from jobs.returns.actions import add_fault
from jobs.returns.comeback_queries import comebacks_of
from jobs.returns.rules import counts, counts_for_hands, usual_promise
from jobs.returns.settle_actions import set_payer
from jobs.stages.table import Stage
from jobs.workorders.actions import advance_stage
from shopapp.frame import Refused
from tests.jobs.returns.returns import begin, lay, settle
from tests.jobs.taps import do, events, page, tap

db = pytest.mark.django_db


# -- what is done ----------------------------------------------------------------------


@db
def test_put_right_without_film_the_car_leaves_at_once(
    desk_client, quick_order, installer
):
    back = begin(installer, quick_order, paid_by="shop")
    assert "say what is done" in page(desk_client, "workorder_detail", back.pk)
    defect = settle(installer, back, "touched_up", note="warmed and pressed")
    assert (defect.state, defect.workorder) == ("touched_up", quick_order)
    assert back.panels.get().struck_off_because == "put right without new film"
    assert [car.order for car in leaving_cars(now=timezone.now())] == [back]
    assert back.number in page(desk_client, "handovers") or (
        back.vehicle.plate in page(desk_client, "handovers")
    )
    assert "Hand over" in page(desk_client, "handover_detail", back.pk)
    assert _ready_already().keys() == {back.booking_id}
    do(installer, give_car, workorder_pk=back.pk, how="person")
    back.refresh_from_db()
    assert back.is_closed
    assert not Paper.objects.filter(workorder=back, kind=Paper.Kind.CARE).exists()


@db
def test_a_car_leaves_from_intake_only_when_all_is_said(quick_order, installer):
    back = begin(installer, quick_order, panels=["hood", "front_bumper"])
    first, second = back.booking.return_visit.defects.all()
    settle(installer, back, "touched_up", defect=first)
    with pytest.raises(Refused):
        do(installer, give_car, workorder_pk=back.pk, how="person")
    settle(installer, back, "redo", defect=second)
    with pytest.raises(Refused):
        do(installer, give_car, workorder_pk=back.pk, how="person")
    settle(installer, back, "nothing", defect=second)
    with pytest.raises(Refused, match="not to prep"):
        do(installer, advance_stage, workorder_pk=back.pk, to=Stage.PREP)
    do(installer, give_car, workorder_pk=back.pk, how="person")


@db
def test_new_film_is_held_and_once_it_is_laid_the_defect_is_redone(
    quick_order, installer
):
    back = begin(installer, quick_order)
    held = FilmReservation.objects.get(booking=back.booking)
    assert (held.length_mm, bool(held.released_at)) == (0, True)
    defect = settle(installer, back, "redo")
    held.refresh_from_db()
    assert held.length_mm > 0
    assert held.released_at is None
    lay(installer, back)
    defect.refresh_from_db()
    assert defect.state == Defect.State.REDONE
    with pytest.raises(Refused, match="new film on this panel"):
        settle(installer, back, "nothing")
    panel = back.panels.get()
    do(installer, take_back_laid, workorder_pk=back.pk, panel_pk=panel.pk)
    defect.refresh_from_db()
    assert defect.state == Defect.State.REDO
    # What was laid before, and by whom, stays with the old order.
    old = quick_order.panels.get(panel="front_bumper")
    assert old.laid_by == installer
    settle(installer, back, "watch")
    held.refresh_from_db()
    assert held.length_mm == 0


@db
def test_one_more_thing_is_written_down_on_the_visit(
    desk_client, quick_order, installer
):
    back = begin(installer, quick_order)
    answer = tap(
        desk_client, "return_fault", back.pk, panels=["hood"], kind="film_fault"
    )
    assert answer.status_code == 303
    assert {row.panel for row in back.panels.all()} == {"front_bumper", "hood"}
    assert back.booking.return_visit.defects.count() == 2
    assert events(quick_order)[-1] == events(back)[-1] == "return_fault"
    settle(installer, back, "nothing", defect=Defect.objects.get(kind="film_fault"))
    do(
        installer,
        add_fault,
        workorder_pk=back.pk,
        panels=["hood"],
        kind="dirt",
    )
    assert back.panels.get(panel="hood").struck_off_at is None


@db
def test_nobody_settles_a_thing_of_another_order(client, desk, quick_order, installer):
    begin(installer, quick_order)
    client.force_login(desk)
    defect = Defect.objects.get()
    answer = tap(
        client, "return_settle", quick_order.pk, defect.pk, outcome="touched_up"
    )
    assert answer.status_code == 404


# -- who pays ------------------------------------------------------------------------


@db
def test_who_pays_may_be_open_and_then_stands_on_the_desks_list(
    desk_client, quick_order, installer
):
    back = begin(installer, quick_order)
    assert back.number not in page(desk_client, "calls")
    settle(installer, back, "touched_up")
    do(installer, give_car, workorder_pk=back.pk, how="person")
    assert back.number in page(desk_client, "calls")
    answer = tap(desk_client, "return_payer", back.pk, paid_by="maker")
    assert answer.status_code == 303
    back.refresh_from_db()
    assert back.price == 0
    assert back.number not in page(desk_client, "calls")
    assert events(back)[-1] == events(quick_order)[-1] == "return_payer"


@db
def test_what_the_customer_pays_is_the_price_and_no_invoice_is_changed(
    desk_client, quick_order, installer, desk
):
    back = begin(installer, quick_order)
    answer = tap(desk_client, "return_payer", back.pk, paid_by="customer")
    assert "Say what the customer pays" in answer.content.decode()
    tap(desk_client, "return_payer", back.pk, paid_by="customer", asked="80")
    back.refresh_from_db()
    assert back.price == Decimal(80)
    settle(installer, back, "touched_up")
    do(installer, give_car, workorder_pk=back.pk, how="person")
    do(desk, make_invoice, workorder_pk=back.pk)
    with pytest.raises(Refused, match="credit note"):
        do(desk, set_payer, workorder_pk=back.pk, paid_by="shop")
    assert ReturnVisit.objects.get().paid_by == "customer"


# -- counted --------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("state", "paid_by", "is_back", "is_hands"),
    [
        ("open", "", True, True),
        ("touched_up", "shop", True, True),
        ("redone", "maker", True, False),
        ("nothing", "", False, False),
        ("touched_up", "customer", False, False),
    ],
)
def test_what_counts_as_a_comeback(state, paid_by, is_back, is_hands):
    facts = {"state": state, "paid_by": paid_by}
    assert counts(**facts) is is_back
    assert counts_for_hands(**facts) is is_hands


@db
def test_comebacks_are_counted_by_hands_film_and_panel(
    client, manager, quick_order, installer
):
    def rates(by):
        found = comebacks_of(now=timezone.now())
        return {
            rate.name: (rate.share.cases, rate.share.of) for rate in getattr(found, by)
        }

    of = quick_order.panels.count()
    # The left and the right of a panel are counted together.
    assert rates("panel")["mirror"] == (0, 2)
    back = begin(installer, quick_order)
    assert rates("hands") == {str(installer): (1, of)}
    assert rates("film") == {str(quick_order.film): (1, of)}
    assert rates("panel")["front bumper"] == (1, 1)
    do(manager, set_payer, workorder_pk=back.pk, paid_by="maker")
    assert rates("hands") == {str(installer): (0, of)}
    assert rates("film") == {str(quick_order.film): (1, of)}
    client.force_login(manager)
    assert f"1 of {of} panels came back" in page(client, "comebacks")
    settle(installer, back, "nothing")
    assert rates("film") == {str(quick_order.film): (0, of)}


@db
def test_the_count_is_for_the_manager(desk_client):
    assert desk_client.get("/comebacks/").status_code == 403


# -- papers and the promise ------------------------------------------------------------


@db
def test_the_work_order_says_of_which_order_and_what_came_back(quick_order, installer):
    back = begin(installer, quick_order, note="two fingers long")
    facts = work_order_facts(back, at=timezone.now())
    assert facts["return_of"] == quick_order.number
    told = " ".join(f"{word} {text}" for word, text in facts["red_lines"])
    assert "front bumper: lifted edge" in told
    assert "two fingers long" in told


@pytest.mark.parametrize(
    ("comes", "promised"),
    [
        ((2026, 12, 1, 9, 0), (2026, 12, 1, 17, 0)),
        ((2026, 12, 1, 16, 0), (2026, 12, 2, 17, 0)),
        ((2026, 12, 4, 16, 30), (2026, 12, 7, 17, 0)),
        ((2026, 12, 5, 10, 0), (2026, 12, 7, 17, 0)),
    ],
)
def test_without_a_time_it_is_promised_for_the_next_closing(comes, promised):
    opening = Opening(opens_at=time(8), closes_at=time(17))
    found = usual_promise(datetime(*comes, tzinfo=UTC), opening=opening)
    assert found == datetime(*promised, tzinfo=UTC)
