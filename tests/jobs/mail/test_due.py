"""What goes by the clock: once, in time, and only what is wanted."""

from __future__ import annotations

from datetime import UTC, datetime, time, timedelta

import pytest
from django.utils import timezone

from jobs.bookings.actions import cancel_booking
from jobs.estimates.queries import newest_version
from jobs.handover.queries import care_of
from jobs.mail.delivery_tasks import deliver, go_over
from jobs.mail.due_queries import due_now
from jobs.mail.setting_actions import change_mail_rule
from jobs.models import BookingEvent, EstimateAcceptance, Mail, MailRule
from shopapp.models import Shop
from tests.estimates import estimate_for
from tests.jobs.returns.returns import handed_over
from tests.jobs.taps import do
from tests.makers import (
    make_bay,
    make_booking,
    make_customer,
    make_film,
    make_roll,
    make_vehicle,
)

pytestmark = pytest.mark.django_db
MADE = datetime(2031, 5, 5, 14, 0, tzinfo=UTC)
"""A Monday, nine o'clock in the shop."""
COMES = datetime(2031, 5, 9, 14, 0, tzinfo=UTC)


@pytest.fixture(autouse=True)
def rule():
    Shop.objects.update(time_zone="America/Chicago")
    row, _ = MailRule.objects.update_or_create(
        pk=1, defaults={"since": MADE - timedelta(days=30)}
    )
    return row


@pytest.fixture
def booking(desk):
    car = make_vehicle(make_customer(email="robin@example.com"))
    made = {"arrives_at": COMES, "promised_at": COMES + timedelta(days=1)}
    return make_booking(desk, vehicle=car, at=MADE, **made)


def kinds(now):
    return [(str(each.kind), each.due) for each in due_now(now=now)]


def local(day, hour):
    """An hour of a day in the shop: five behind UTC in May."""
    return datetime(2031, 5, day, hour + 5, tzinfo=UTC)


def test_a_booking_is_written_about_once_nobody_changes_it_any_more(booking):
    assert kinds(MADE + timedelta(minutes=1)) == []
    now = MADE + timedelta(minutes=3)
    assert kinds(now) == [("booked", MADE)]
    go_over(now=now)
    assert kinds(now) == []
    go_over(now=now + timedelta(minutes=1))
    assert Mail.objects.count() == 1


def test_a_day_that_moved_is_written_about_anew_and_a_price_is_not(booking):
    go_over(now=MADE + timedelta(minutes=3))
    common = {"booking": booking, "action": "booking.move", "what": "booking_changed"}
    common |= {"received_at": MADE, "via": "page"}
    moved = MADE + timedelta(hours=2)
    days = ["2031-05-09", "2031-05-12"]
    for at, changed in ((moved, {"arrives_at": days}), (moved, {"price": ["1", "2"]})):
        BookingEvent.objects.create(**common, done_at=at, facts={"changed": changed})
    assert kinds(moved + timedelta(minutes=3)) == [("booked", moved)]


def test_the_day_before_it_goes_at_the_shops_hour(booking):
    go_over(now=MADE + timedelta(minutes=3))
    due = local(8, 16)
    assert kinds(due - timedelta(minutes=1)) == []
    assert kinds(due) == [("day_before", due)]
    go_over(now=due + timedelta(minutes=1))
    assert kinds(due + timedelta(minutes=2)) == []


def test_who_booked_after_that_hour_is_not_told_twice(desk):
    car = make_vehicle(make_customer(email="robin@example.com"))
    at = local(8, 17)
    made = {"arrives_at": COMES, "promised_at": COMES + timedelta(days=1)}
    make_booking(desk, vehicle=car, at=at, **made)
    assert [kind for kind, _ in kinds(at + timedelta(minutes=5))] == ["booked"]


def test_a_cancelled_booking_is_not_written_about(booking, desk):
    do(desk, cancel_booking, booking_pk=booking.pk, because="sold it")
    assert kinds(MADE + timedelta(minutes=3)) == []
    assert kinds(local(8, 16)) == []


def test_what_came_too_late_is_left_out_and_said(booking):
    go_over(now=MADE + timedelta(minutes=3))
    go_over(now=COMES + timedelta(hours=1))
    left_out = Mail.objects.get(kind="day_before")
    assert left_out.state == "dropped"
    assert "did not run" in left_out.said


@pytest.mark.parametrize("facts", [{"email": ""}, {"mail_off": True}])
def test_without_an_address_or_against_their_wish_nothing_is_written(booking, facts):
    type(booking.customer).objects.update(**facts)
    assert kinds(MADE + timedelta(minutes=3)) == []
    assert kinds(local(8, 16)) == []


def test_what_was_before_it_was_switched_on_is_not_written_about(booking, manager):
    names = ("day_before", "ready", "first_wash", "recheck")
    times = {"day_before_at": time(16), "morning_at": time(9), "reply_to": ""}
    off = dict.fromkeys(names, False) | times
    do(manager, change_mail_rule, booked=False, **off)
    go_over(now=MADE + timedelta(minutes=3))
    before = datetime(2026, 1, 1, tzinfo=UTC)
    MailRule.objects.update(since=before)
    do(manager, change_mail_rule, booked=True, **off)
    assert MailRule.objects.get().since > before
    assert not Mail.objects.exists()


def test_first_wash_and_recheck_go_where_the_shop_wants_them(installer):
    order = handed_over(installer, days_ago=2, mixed=False)
    order.customer.email = "robin@example.com"
    order.customer.save()
    order.recheck_at = timezone.now() + timedelta(days=9)
    order.save()
    MailRule.objects.update(since=timezone.now() - timedelta(days=3))
    wash = care_of(order, at=order.handed_over_at).wash_from
    at = datetime.combine(wash, time(9), Shop.objects.get().zone)
    assert [kind for kind, _ in kinds(at)] == []
    MailRule.objects.update(first_wash=True, recheck=True)
    assert kinds(at) == [("first_wash", at)]
    soon = order.recheck_at - timedelta(hours=1)
    assert [kind for kind, _ in kinds(soon)] == ["recheck"]


def test_an_estimate_goes_where_the_shop_wants_it(desk):
    make_roll(make_film())
    make_bay()
    row = estimate_for(desk)
    row.customer.email = "robin@example.com"
    row.customer.save()
    made = row.events.get(what="estimate_made").done_at
    MailRule.objects.update(since=made - timedelta(days=1))
    now = made + timedelta(minutes=3)
    assert kinds(now) == []
    MailRule.objects.update(estimate=True)
    assert kinds(now) == [("estimate", made)]


def test_an_estimate_that_was_accepted_meanwhile_is_not_mailed_by_itself(desk):
    make_roll(make_film())
    make_bay()
    row = estimate_for(desk)
    row.customer.email = "robin@example.com"
    row.customer.save()
    at = row.events.get(what="estimate_made").done_at + timedelta(minutes=3)
    MailRule.objects.update(estimate=True, since=at - timedelta(days=1))
    go_over(now=at)
    mail = Mail.objects.get(kind="estimate")
    EstimateAcceptance.objects.create(
        version=newest_version(row),
        choice=newest_version(row).choices.all()[0],
        how="phone",
        name="Robin",
        at=at,
    )
    Mail.objects.update(next_at=timezone.now())
    deliver(mail.pk)
    mail.refresh_from_db()
    assert mail.state == "dropped"
    assert "was answered" in mail.said
