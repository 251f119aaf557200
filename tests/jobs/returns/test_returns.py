"""A closed order's car comes back: begun in two presses, seen to, paid for, counted."""

from __future__ import annotations

from datetime import UTC, datetime, time, timedelta
from decimal import Decimal
from uuid import uuid4

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.utils import timezone

from jobs.bookings.arrival_actions import take_in_car
from jobs.bookings.first_forms import booking_initial
from jobs.bookings.forms import BookingForm
from jobs.handover.actions import give_car
from jobs.handover.queries import asked_rechecks, leaving_cars
from jobs.handover.recheck_actions import record_recheck
from jobs.invoices.actions import make_invoice
from jobs.models import (
    Booking,
    CustomerReport,
    Defect,
    FilmReservation,
    OrderPanel,
    Paper,
    ReturnVisit,
    WorkOrder,
)
from jobs.opening.hours import Opening
from jobs.panels.actions import lay_panel, make_all_ready, take_back_laid
from jobs.papers.work_order_facts import work_order_facts
from jobs.plan.forecast_actions import _ready_already
from jobs.prices.queries import panel_code
from jobs.public.actions import ask_for_recheck
from jobs.public.report_actions import send_report
from jobs.returns.actions import add_fault, begin_return
from jobs.returns.comeback_queries import comebacks_of
from jobs.returns.rules import counts, counts_for_hands, usual_promise
from jobs.returns.settle_actions import set_payer, settle_fault
from jobs.stages.table import Stage
from jobs.workorders.actions import advance_stage
from shopapp.frame import Refused, perform
from shopapp.models import Price
from tests.furnished import picture
from tests.jobs.returns.returns import begin, handed_over
from tests.jobs.taps import do, events, page, tap
from tests.makers import make_tap

db = pytest.mark.django_db


@pytest.fixture
def order(installer):
    return handed_over(installer)


@pytest.fixture
def quick_order(installer):
    """Without a mix: for what asks nothing of the bottles."""
    return handed_over(installer, mixed=False)


@pytest.fixture
def desk_client(client, desk):
    client.force_login(desk)
    return client


def settle(by, order, outcome, *, defect=None, **more):
    found = defect or ReturnVisit.objects.get(booking=order.booking_id).defects.get()
    do(
        by,
        settle_fault,
        workorder_pk=order.pk,
        defect_pk=found.pk,
        outcome=outcome,
        **more,
    )
    found.refresh_from_db()
    return found


# -- beginning -----------------------------------------------------------------------


@db
def test_two_presses_lead_from_a_closed_order_to_its_return_visit(desk_client, order):
    closed = page(desk_client, "workorder_detail", order.pk)
    assert f"/workorders/{order.pk}/return/" in closed
    text = page(desk_client, "return_new", order.pk)
    assert "R1, lot L-77" in text
    assert order.order_batches.get().batch.number in text
    answer = tap(
        desk_client,
        "return_begin",
        order.pk,
        panels=["front_bumper"],
        kind="lifted_edge",
        is_here="yes",
    )
    back = WorkOrder.objects.latest("pk")
    assert answer.status_code == 303
    assert answer["Location"] == f"/workorders/{back.pk}/"
    assert (back.return_of, back.customer, back.vehicle) == (
        order,
        order.customer,
        order.vehicle,
    )
    assert [row.panel for row in back.panels.all()] == ["front_bumper"]
    assert back.price is None
    assert back.stage == Stage.INTAKE.value


@db
def test_the_new_order_shows_roll_hands_bottle_and_warmth_beside_the_defect(
    desk_client, order, installer
):
    back = begin(installer, order)
    text = page(desk_client, "workorder_detail", back.pk)
    assert f"Return of {order.number}" in text
    assert "lifted edge" in text
    assert "R1, lot L-77" in text
    assert order.order_batches.get().batch.number in text
    assert "16" in text
    assert str(order.panels.first().laid_by) in text
    assert "Who pays is not known yet" in text


@db
def test_its_photo_stands_beside_the_defect_and_the_floor_says_what_it_is(
    desk_client, quick_order
):
    photo = SimpleUploadedFile("edge.jpg", picture(), "image/jpeg")
    typed = {"panels": ["hood"], "kind": "dirt", "is_here": "yes", "photo": photo}
    tap(desk_client, "return_begin", quick_order.pk, **typed)
    kept = Defect.objects.get().photo
    back = WorkOrder.objects.latest("pk")
    assert f"/files/{kept.sha256}/" in page(desk_client, "workorder_detail", back.pk)
    assert "return visit" in page(desk_client, "floor")


@db
def test_the_old_order_says_what_came_back_and_what_came_of_it(
    desk_client, quick_order, installer
):
    back = begin(installer, quick_order)
    assert "not looked at yet" in page(desk_client, "workorder_detail", quick_order.pk)
    settle(installer, back, "touched_up")
    text = page(desk_client, "workorder_detail", quick_order.pk)
    assert "It came back on" in text
    assert back.number in text
    assert "put right" in text
    assert events(quick_order)[-2:] == ["came_back", "return_settled"]
    assert {"came_back", "return_settled"} <= set(events(back))


@db
def test_a_car_that_comes_later_is_booked_and_its_order_begins_when_it_arrives(
    desk_client, quick_order, desk
):
    comes = timezone.localtime() + timedelta(days=3)
    answer = tap(
        desk_client,
        "return_begin",
        quick_order.pk,
        panels=["hood"],
        kind="bubble_crease",
        is_here="no",
        arrives_at=comes.strftime("%Y-%m-%dT%H:%M"),
        paid_by="shop",
    )
    booking = Booking.objects.latest("pk")
    assert answer["Location"] == f"/bookings/{booking.pk}/"
    assert (booking.state, booking.price) == (Booking.State.BOOKED, Decimal(0))
    assert booking.promised_at > booking.arrives_at
    assert f"Return of {quick_order.number}" in page(
        desk_client, "booking_detail", booking.pk
    )
    assert "is to come on" in page(desk_client, "workorder_detail", quick_order.pk)
    taken = do(desk, take_in_car, booking_pk=booking.pk)
    back = WorkOrder.objects.get(pk=taken["pk"])
    assert back.return_of == quick_order
    assert events(quick_order)[-2:] == ["return_booked", "came_back"]


@db
def test_the_list_gives_no_price_to_a_car_that_comes_back(quick_order, installer):
    comes = timezone.now() + timedelta(days=3)
    pk = begin(installer, quick_order, is_here=False, arrives_at=comes)
    booking = Booking.objects.get(pk=pk)
    Price.objects.create(code=panel_code("front_bumper"), label="x", amount=300)
    booking.vehicle.year = 2025
    as_shown = BookingForm(booking=booking, initial=booking_initial(booking))
    data = {field.html_name: field.value() for field in as_shown}
    data = {name: value for name, value in data.items() if value not in (None, False)}
    form = BookingForm(data, booking=booking)
    assert form.is_valid(), form.errors
    assert form.figures.estimate.is_complete
    assert form.cleaned_data["agreed"].price is None


@db
def test_a_day_is_asked_for_where_the_car_is_not_here(desk_client, quick_order):
    typed = {"panels": ["hood"], "kind": "dirt", "note": "by the badge"}
    answer = tap(desk_client, "return_begin", quick_order.pk, is_here="no", **typed)
    assert answer.status_code == 422
    text = answer.content.decode()
    assert "Say when the car comes." in text
    assert "by the badge" in text
    assert not ReturnVisit.objects.exists()


@db
@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ({"kind": "dirt"}, "This field is required"),
        ({"panels": ["hood"]}, "This field is required"),
        ({"panels": ["tailgate"], "kind": "dirt"}, "not one of the available choices"),
        ({"panels": ["hood"], "kind": "rust"}, "not one of the available choices"),
    ],
)
def test_what_is_missing_or_not_on_this_car_is_named(
    desk_client, quick_order, typed, said
):
    answer = tap(desk_client, "return_begin", quick_order.pk, is_here="yes", **typed)
    assert answer.status_code == 422
    assert said in answer.content.decode()


@db
def test_a_double_tap_makes_one_and_a_second_return_is_possible(
    quick_order, installer, desk_client
):
    facts = {"workorder_pk": quick_order.pk, "panels": ["hood"], "kind": "dirt"}
    key = uuid4().hex
    for _ in range(2):
        perform(make_tap(installer, key=key), begin_return, **facts)
    back = WorkOrder.objects.get(return_of=quick_order)
    with pytest.raises(Refused, match="back already"):
        do(installer, begin_return, **facts)
    settle(installer, back, "nothing")
    do(installer, give_car, workorder_pk=back.pk, how="person")
    again = begin(installer, quick_order)
    assert quick_order.returns.count() == 2
    text = page(desk_client, "return_new", quick_order.pk)
    assert again.number in text


@db
def test_a_return_of_a_return_is_of_the_first_order_and_of_the_newest_film(
    quick_order, installer
):
    back = begin(installer, quick_order, panels=["hood"])
    settle(installer, back, "redo")
    _lay(installer, back)
    WorkOrder.objects.filter(pk=back.pk).update(
        stage=Stage.CLOSED.value, handed_over_at=timezone.now()
    )
    third = begin(installer, back, panels=["hood", "front_bumper"])
    assert third.return_of == quick_order
    laid_on = {
        each.order_panel.panel: each.workorder
        for each in third.booking.return_visit.defects.all()
    }
    assert laid_on == {"hood": back, "front_bumper": quick_order}


@db
def test_a_car_that_is_in_on_another_order_is_not_taken_in_twice(
    quick_order, installer
):
    begin(installer, quick_order)
    other = handed_over_twin(quick_order)
    with pytest.raises(Refused, match="is in already"):
        begin(installer, other)


def handed_over_twin(order):
    """Another closed order of the same car, with film."""
    twin = WorkOrder.objects.create(
        number="W-old",
        customer=order.customer,
        vehicle=order.vehicle,
        film=order.film,
        stage=Stage.CLOSED.value,
        promised_at=order.promised_at,
        handed_over_at=order.handed_over_at,
    )
    row = order.panels.first()
    OrderPanel.objects.create(
        workorder=twin,
        panel="front_bumper",
        method=row.method,
        edge=row.edge,
        badge=row.badge,
        seam=row.seam,
        laid_at=order.handed_over_at,
    )
    return twin


@db
def test_an_open_order_has_no_return_visit(desk_client, installer, quick_order):
    back = begin(installer, quick_order)
    with pytest.raises(Refused, match="still here"):
        begin(installer, back)
    assert "still here" in page(desk_client, "return_new", back.pk)


# -- what the customer said ------------------------------------------------------------


@db
def test_what_the_customer_wrote_comes_along_and_is_answered(
    desk_client, quick_order, installer
):
    words = {"words": "The edge by the lamp lifts", "photos": []}
    do(None, send_report, workorder_pk=quick_order.pk, **words)
    assert "The edge by the lamp lifts" in page(
        desk_client, "return_new", quick_order.pk
    )
    assert f"/workorders/{quick_order.pk}/return/" in page(desk_client, "calls")
    back = begin(installer, quick_order)
    report = CustomerReport.objects.get()
    assert report.settled_at
    assert report.visit.order == back
    assert "The edge by the lamp lifts" in page(
        desk_client, "workorder_detail", back.pk
    )
    assert "The edge by the lamp lifts" not in page(desk_client, "calls")


@db
def test_a_wish_for_a_recheck_is_answered_by_its_outcome_and_by_a_return(
    desk_client, quick_order, installer
):
    def wishes():
        return [event.workorder for event, _ in asked_rechecks(now=timezone.now())]

    on = _open_day()
    do(None, ask_for_recheck, workorder_pk=quick_order.pk, on=on)
    assert wishes() == [quick_order]
    assert "Customers who ask for a recheck" in page(desk_client, "calls")
    do(installer, record_recheck, workorder_pk=quick_order.pk, outcome="fine")
    assert wishes() == []
    do(None, ask_for_recheck, workorder_pk=quick_order.pk, on=on)
    begin(installer, quick_order)
    assert wishes() == []


def _open_day():
    day = timezone.localdate() + timedelta(days=2)
    while day.weekday() > 4:
        day += timedelta(days=1)
    return day


@db
def test_a_recheck_that_wants_new_film_leads_to_a_return_visit(
    desk_client, quick_order
):
    answer = tap(
        desk_client,
        "recheck_record",
        quick_order.pk,
        outcome="redo",
        note="edge at the left lamp lifts",
    )
    assert answer["Location"] == f"/workorders/{quick_order.pk}/return/"
    text = page(desk_client, "return_new", quick_order.pk)
    assert "edge at the left lamp lifts" in text
    assert "Begin a return visit" in page(
        desk_client, "workorder_detail", quick_order.pk
    )


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


def _lay(by, back) -> None:
    """New film on all that is to be filmed."""
    do(by, advance_stage, workorder_pk=back.pk, to=Stage.PREP)
    do(by, make_all_ready, workorder_pk=back.pk)
    do(by, advance_stage, workorder_pk=back.pk, to=Stage.INSTALL)
    for panel in back.panels.filter(struck_off_at=None):
        do(by, lay_panel, workorder_pk=back.pk, panel_pk=panel.pk)


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
    _lay(installer, back)
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
