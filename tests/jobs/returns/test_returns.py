"""A closed order's car comes back: begun in two presses, seen to, paid for, counted."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal
from uuid import uuid4

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.utils import timezone

from jobs.bookings.arrival_actions import take_in_car
from jobs.bookings.first_forms import booking_initial
from jobs.bookings.forms import BookingForm
from jobs.handover.actions import give_car
from jobs.handover.queries import asked_rechecks
from jobs.handover.recheck_actions import record_recheck
from jobs.models import (
    Booking,
    CustomerReport,
    Defect,
    OrderPanel,
    ReturnVisit,
    WorkOrder,
)
from jobs.prices.queries import panel_code
from jobs.public.actions import ask_for_recheck
from jobs.public.report_actions import send_report
from jobs.returns.actions import begin_return
from jobs.stages.table import Stage
from shopapp.frame import Refused, perform
from shopapp.models import Price
from tests.furnished import picture
from tests.jobs.returns.returns import begin, lay, settle
from tests.jobs.taps import do, events, page, tap
from tests.makers import make_tap

db = pytest.mark.django_db


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
    lay(installer, back)
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
