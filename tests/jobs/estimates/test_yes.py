"""The customer's yes: at the desk and by link; what is booked from it."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal

import pytest
from django.urls import reverse
from django.utils import timezone

from jobs.bookings.actions import cancel_booking
from jobs.estimates.accept_actions import CameFrom, accept_estimate
from jobs.estimates.actions import (
    end_estimate,
    lock_to_book,
)
from jobs.estimates.standing import Standing
from jobs.models import (
    Booking,
    EstimateAcceptance,
)
from shopapp.frame import Act, Refused, perform
from shopapp.models import Price
from tests.estimates import (
    change,
    estimate_for,
    newest,
    seen,
    send,
    yes,
)
from tests.jobs.taps import do, page, tap
from tests.makers import make_tap
from tests.presses import SIGNED

pytestmark = pytest.mark.django_db


def test_a_yes_keeps_package_name_time_and_address(desk, row):
    came = CameFrom(address="203.0.113.9")
    yes(None, row, place=2, how="link", came_from=came)
    kept = newest(row).acceptance
    assert kept.choice.package == "track"
    assert (kept.name, kept.address, kept.by) == ("Noor Vale", "203.0.113.9", None)
    assert timezone.now() - kept.at < timedelta(minutes=1)
    assert seen(row).standing is Standing.ACCEPTED


def test_the_same_yes_from_another_network_is_the_same_yes(desk, row):
    version, taps = newest(row), [make_tap(None, key="k" * 12, at=timezone.now())] * 2
    facts = {"estimate_pk": row.pk, "version_pk": version.pk, "how": "link"}
    facts |= {"choice_pk": version.choices.all()[0].pk, "name": "Noor Vale"}
    for each, address in zip(taps, ("203.0.113.9", "198.51.100.7"), strict=True):
        came = CameFrom(address=address)
        perform(each, accept_estimate, came_from=came, **facts)
    assert EstimateAcceptance.objects.get().address == "203.0.113.9"


def test_a_second_device_hears_that_it_was_accepted(desk, row):
    yes(None, row, how="link")
    with pytest.raises(Refused, match="accepted already, by Noor Vale"):
        yes(None, row, place=2, how="link", name="Somebody else")
    assert EstimateAcceptance.objects.count() == 1


def test_a_blank_canvas_is_no_signature(desk, row):
    for strokes in ("", "[]", "[[[10, 10]]]", "[[[1,1],[2,2]]]", "nonsense"):
        with pytest.raises(Refused):
            yes(desk, row, how="signature", strokes=strokes)
    assert not EstimateAcceptance.objects.exists()
    yes(desk, row, how="signature", strokes=SIGNED)
    assert newest(row).acceptance.signature


def test_a_blank_canvas_comes_back_with_the_name_and_the_package(client, desk, row):
    version = newest(row)
    choice = version.choices.get(place=2)
    typed = {"name": "Noor V.", "choice_pk": choice.pk, "strokes": ""}
    answer = tap(client, "estimate_signed", row.pk, version.pk, **typed)
    text = answer.content.decode()
    assert answer.status_code == 422
    assert "Nothing is signed yet" in text
    assert 'value="Noor V."' in text
    assert f'value="{choice.pk}" required' in text or "checked" in text


def test_a_yes_without_a_name_is_refused(desk, row):
    with pytest.raises(Refused, match="name"):
        yes(None, row, how="link", name="  ")


def test_one_that_ran_out_cannot_be_accepted(desk):
    row = estimate_for(desk, days=2, at=timezone.now() - timedelta(days=4))
    with pytest.raises(Refused, match="ran out on"):
        yes(None, row, how="link")
    assert seen(row).standing is Standing.RUN_OUT


def test_on_its_last_day_it_can_be_accepted(desk):
    row = estimate_for(desk, days=0)
    yes(desk, row)


def test_accepted_then_changed_the_accepted_one_stays_and_it_is_said(client, desk, row):
    token = send(desk, row)
    yes(None, row, how="link")
    change(desk, row)
    one, two = row.versions.order_by("number")
    assert one.acceptance.name == "Noor Vale"
    assert one.choices.get(place=1).price == Decimal(1490)
    assert seen(row).accepted_before.row == one
    assert "accepted version 1" in page(client, "estimate_detail", row.pk)
    read = page(client, "customer_page", token)
    assert "You accepted version 1" in read
    assert "1,290.00" in read
    old = page(client, "customer_estimate", token, version="1")
    assert "It stays as it was" in old
    assert "1,490.00" in old
    assert 'name="choice_pk"' not in old
    with pytest.raises(Refused, match="accepted already"):
        yes(None, row, version=one, how="link")
    yes(None, row, version=two, how="link")
    assert EstimateAcceptance.objects.count() == 2


def test_the_older_version_cannot_be_accepted_any_more(desk, row):
    old = newest(row)
    change(desk, row)
    with pytest.raises(Refused, match="newer version"):
        yes(None, row, version=old, how="link")


def test_one_that_was_put_away_is_closed_and_a_new_version_opens_it(desk, row):
    do(desk, end_estimate, estimate_pk=row.pk, because="too dear")
    with pytest.raises(Refused, match="not open"):
        yes(None, row, how="link")
    change(desk, row)
    yes(desk, row)


def accept_by_link(client, token, version, **typed):
    facts = {"choice_pk": version.choices.all()[0].pk, "name": "Noor Vale", **typed}
    return tap(client, "customer_accept", token, version.pk, **facts)


def test_the_customer_accepts_by_the_link(client, desk, row):
    token, version = send(desk, row), newest(row)
    client.logout()
    answer = accept_by_link(client, token, version)
    assert answer.status_code == 303
    assert version.acceptance.address == "127.0.0.1"
    text = page(client, "customer_page", token)
    assert "You accepted this estimate." in text


def test_without_a_package_or_a_name_it_is_said_and_the_rest_stays(client, desk, row):
    token, version = send(desk, row), newest(row)
    answer = accept_by_link(client, token, version, choice_pk="")
    assert answer.status_code == 422
    assert "Choose one of the packages." in answer.content.decode()
    assert 'value="Noor Vale"' in answer.content.decode()
    answer = accept_by_link(client, token, version, name="")
    # At the top, with a way to the field: that stands below all packages.
    assert 'name">Write your name.</a>' in answer.content.decode()


def test_a_link_opens_no_other_estimate(client, desk, row):
    token, other = send(desk, row), estimate_for(desk, name="Ada B", phone="555-0177")
    assert accept_by_link(client, token, newest(other)).status_code == 404
    assert not EstimateAcceptance.objects.exists()


def test_a_version_that_was_never_sent_is_not_shown(client, desk, row):
    change(desk, row)
    token = send(desk, row)
    url = reverse("jobs:customer_estimate", args=[token])
    assert client.get(url, {"version": "2"}).status_code == 200
    assert client.get(url, {"version": "1"}).status_code == 404
    assert client.get(url, {"version": "x"}).status_code == 404


def test_the_page_says_that_it_ran_out(client, desk):
    row = estimate_for(desk, days=2, at=timezone.now() - timedelta(days=4))
    token = send(desk, row)
    text = page(client, "customer_page", token)
    assert "This estimate ran out on" in text
    assert 'name="choice_pk"' not in text


def test_once_booked_the_same_link_shows_the_booking(client, desk, row):
    token = send(desk, row)
    assert book(client, newest(row).choices.all()[0]).status_code == 303
    booked = page(client, "customer_page", token)
    assert "Your car is booked." in booked
    assert reverse("jobs:customer_estimate", args=[token]) in booked
    assert "This estimate is booked." in page(client, "customer_estimate", token)


def book(client, choice, **typed):
    """Send the booking's form as the page filled it in, with a day."""
    answer = client.get(reverse("jobs:booking_new"), {"estimate": choice.pk})
    form = answer.context["form"]
    known = {field.html_name: field.value() for field in form}
    known = {name: "on" if value is True else value for name, value in known.items()}
    known = {
        name: value for name, value in known.items() if value not in (None, False, [])
    }
    days = [timezone.localtime() + timedelta(days=days) for days in (7, 9)]
    stamps = [f"{day:%Y-%m-%d}T10:00" for day in days]
    known |= {"arrives_at": stamps[0], "promised_at": stamps[1]}
    return tap(client, "booking_make", **{**known, **typed})


def test_it_is_booked_at_the_accepted_price_not_the_list_s_of_the_day(
    client, desk, row
):
    yes(desk, row, place=2)
    Price.objects.create(code="package/track/D", amount=Decimal(9999), label="track")
    answer = book(client, newest(row).choices.get(place=2))
    assert answer.status_code == 303, answer.context["form"].errors
    booking = Booking.objects.get()
    assert (booking.price, booking.package) == (Decimal(2140), "track")
    assert booking.panels.count() == newest(row).choices.get(place=2).panels.count()
    row.refresh_from_db()
    assert (row.booking, row.customer) == (booking, booking.customer)
    assert booking.vehicle_id == row.vehicle_id
    assert seen(row).standing is Standing.BOOKED
    said = booking.events.get(what="booked_from_estimate").facts["estimate"]
    assert said == f"{row.number}, version 1"


def test_it_is_booked_once_and_again_when_the_booking_was_cancelled(client, desk, row):
    choice = newest(row).choices.all()[0]
    book(client, choice)
    assert book(client, choice).status_code == 422
    do(desk, cancel_booking, booking_pk=Booking.objects.get().pk)
    assert book(client, choice).status_code == 303
    assert Booking.objects.count() == 2


@pytest.mark.parametrize(
    ("then", "says"),
    [
        ("other", "accepted another package"),
        ("newer", "newer version"),
        ("ended", "put away"),
    ],
)
def test_what_does_not_stand_any_more_is_not_booked(desk, row, then, says):
    choice = newest(row).choices.get(place=2)
    if then == "other":
        yes(desk, row, place=1)
    elif then == "newer":
        change(desk, row)
    else:
        do(desk, end_estimate, estimate_pk=row.pk)
    act = Act(tap=make_tap(desk), name="booking.make")
    with pytest.raises(Refused, match=says):
        lock_to_book(act, choice_pk=choice.pk)


def test_an_estimate_is_not_booked_for_another_customer(client, desk, row):
    other = estimate_for(desk, name="Ada Birch", phone="555-0177")
    choice = newest(row).choices.all()[0]
    typed = {"customer_pk": other.customer_id, "vehicle_pk": other.vehicle_id}
    assert book(client, choice, **typed).status_code == 422
    assert not Booking.objects.exists()
