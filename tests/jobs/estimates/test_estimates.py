"""Estimates: kept in versions, accepted once, booked at the price that was said."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from decimal import Decimal

import pytest
from django.db import IntegrityError, transaction
from django.urls import reverse
from django.utils import timezone
from hypothesis import given
from hypothesis import strategies as st

from jobs.bookings.actions import cancel_booking
from jobs.coverage.catalogue import Package
from jobs.estimates.accept_actions import CameFrom, accept_estimate
from jobs.estimates.actions import (
    change_estimate,
    end_estimate,
    lock_to_book,
    print_estimate,
)
from jobs.estimates.queries import estimates_waiting, shown, with_versions
from jobs.estimates.standing import Standing, standing_of
from jobs.mail.actions import begin_mail, send_mail
from jobs.models import (
    Booking,
    CustomerEstimate,
    EstimateAcceptance,
    EstimateRule,
    TaxRule,
)
from jobs.money.lines import LineKind, PriceLine, lines_of
from shopapp.frame import Act, Refused, perform
from shopapp.models import Price, shop_date
from tests.estimates import FRONT, TRACK, WHOLE, car, estimate_for, offered, send
from tests.jobs.taps import do, page, tap
from tests.makers import make_bay, make_film, make_person, make_roll, make_tap
from tests.presses import SIGNED

pytestmark = pytest.mark.django_db


@pytest.fixture
def desk(client):
    make_roll(make_film())
    make_bay()
    person = make_person("desk", username="ben")
    client.force_login(person)
    return person


@pytest.fixture
def row(desk):
    return estimate_for(desk)


def newest(row):
    return row.versions.order_by("-number")[0]


def yes(by, row, *, place=1, version=None, how="phone", name="Noor Vale", **more):
    version = version or newest(row)
    choice = version.choices.get(place=place)
    facts = {"version_pk": version.pk, "choice_pk": choice.pk, "how": how}
    do(by, accept_estimate, estimate_pk=row.pk, name=name, **facts, **more)


def change(by, row, *packages, **more):
    facts = {"valid_until": shop_date(timezone.now()) + timedelta(days=30), **more}
    do(
        by,
        change_estimate,
        estimate_pk=row.pk,
        vehicle=car(),
        offered=packages or (offered(price=1290),),
        **facts,
    )


def day_in(days):
    return f"{shop_date(timezone.now()) + timedelta(days=days):%Y-%m-%d}"


def seen(row):
    return shown(with_versions().get(pk=row.pk), now=timezone.now())


def told(row):
    return list(row.events.order_by("pk").values_list("what", flat=True))


def why(refused):
    return str(refused.value)


# -- made and changed ------------------------------------------------------------


def test_an_estimate_keeps_its_packages_in_order_with_panels_and_lines(desk, row):
    first, second = newest(row).choices.all()
    assert row.number.endswith("-0001")
    assert [first.package, second.package] == ["full_front", "track"]
    assert first.panels.count() == 8
    assert [line.amount for line in first.lines.all()] == [Decimal(1490)]
    assert told(row) == ["estimate_made"]


@given(
    price=st.decimals(min_value=0, max_value=20000, places=2),
    works=st.lists(st.decimals(min_value=0, max_value=900, places=2), max_size=4),
    pct=st.decimals(min_value=0, max_value=25, places=3),
    is_on_top=st.booleans(),
)
def test_the_lines_of_a_package_come_to_its_price(price, works, pct, is_on_top):

    others = [PriceLine(kind=LineKind.WORK, name="w", amount=each) for each in works]
    found = lines_of(
        price=price,
        package=PriceLine(kind=LineKind.PACKAGE, name="p", amount=Decimal(0)),
        others=others,
        tax_name="tax",
        tax_pct=pct,
        is_on_top=is_on_top,
    )
    assert sum(line.amount for line in found.lines) == price


def test_other_work_and_tax_on_top_are_lines_of_their_own(desk):
    TaxRule.objects.update_or_create(
        pk=1, defaults={"pct": Decimal(19), "is_included": False, "name": "Tax"}
    )
    work = {"name": "coating", "minutes": 90, "when": "after_install"}
    work |= {"skill": "prep", "price": Decimal(200)}
    row = estimate_for(desk, offered(price="1190.00", works=(work,)))
    choice = newest(row).choices.get()
    lines = [(line.kind, line.amount) for line in choice.lines.all()]
    assert lines == [
        ("package", Decimal(800)),
        ("work", Decimal(200)),
        ("tax", Decimal(190)),
    ]


def test_no_package_or_four_are_refused(desk):
    with pytest.raises(Refused, match="up to 3"):
        estimate_for(desk, *[offered()] * 4)


def test_it_cannot_hold_until_yesterday_or_for_years(desk):
    with pytest.raises(Refused, match="has passed"):
        estimate_for(desk, offered(), days=-1)
    with pytest.raises(Refused, match="within a year"):
        estimate_for(desk, offered(), days=400)


def test_a_change_is_a_new_version_and_the_old_one_stays(desk, row):
    change(desk, row)
    one, two = row.versions.order_by("number")
    assert (one.number, two.number) == (1, 2)
    assert one.choices.count() == 2
    assert two.choices.get().price == Decimal(1290)
    assert not told(row).count("estimate_sent")


def test_a_change_of_what_the_customer_reads_by_link_is_sent_with_it(desk, row):
    send(desk, row)
    change(desk, row)
    assert newest(row).sent_how == "link"


def test_a_version_is_never_written_again(desk, row):
    choice = newest(row).choices.all()[0]
    choice.price = Decimal(1)
    with pytest.raises(RuntimeError, match="never changed"):
        choice.save()


# -- the yes -----------------------------------------------------------------------


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


# -- the customer's page -------------------------------------------------------------


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


# -- booked ----------------------------------------------------------------------------


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


# -- the desk --------------------------------------------------------------------------


def test_unanswered_for_three_days_it_stands_on_the_desk_s_list(client, desk):
    now = timezone.now()
    row = estimate_for(desk, at=now - timedelta(days=4))
    assert not estimates_waiting(now=now)
    send(desk, row, at=now - timedelta(days=3, minutes=1))
    assert [each.row for each in estimates_waiting(now=now)] == [row]
    assert row.number in page(client, "calls")
    yes(desk, row)
    assert not estimates_waiting(now=now)


def test_two_days_after_it_was_sent_nobody_is_asked(desk, row):
    now = timezone.now()
    send(desk, row, at=now - timedelta(days=2))
    assert not estimates_waiting(now=now)


def test_printing_counts_as_handing_it_over(desk, row):
    version = newest(row)
    do(desk, print_estimate, estimate_pk=row.pk, version_pk=version.pk)
    version.refresh_from_db()
    assert version.sent_how == "paper"


def test_mailed_with_its_link_it_counts_as_sent_by_mail(desk, row, settings):
    settings.PUBLIC_URL = "https://shop.example.com"
    mail_pk = do(desk, send_mail, kind="estimate", estimate_pk=row.pk)["pk"]
    assert newest(row).sent_at is None
    do(None, begin_mail, mail_pk=mail_pk)
    assert newest(row).sent_how == "mail"
    assert row.links.count() == 1


def test_a_fresh_estimate_holds_as_long_as_the_shop_says(client, desk):
    EstimateRule.objects.create(pk=1, valid_days=10)
    text = page(client, "estimate_new")
    assert day_in(10) in text


def test_the_form_keeps_two_packages_at_the_list_s_price(client, desk):
    Price.objects.create(code="package/full_front/D", amount=Decimal(1490), label="f")
    Price.objects.create(code="package/track/D", amount=Decimal(2140), label="t")
    film = make_film("FB").pk
    typed = {"name": "Noor Vale", "phone": "555-0171", "model": "Saloon"}
    typed |= {"size_class": "D", "body": "sedan"}
    typed |= {"valid_until": day_in(9)}
    for place, package in ((1, FRONT), (2, TRACK)):
        head = f"p{place}-"
        typed |= {f"{head}package": package.value, f"{head}method": "hand_fitted"}
        typed |= {f"{head}film": film}
    answer = tap(client, "estimate_make", **typed)
    assert answer.status_code == 303
    row = CustomerEstimate.objects.get()
    prices = list(newest(row).choices.values_list("price", flat=True))
    assert prices == [Decimal(1490), Decimal(2140)]
    edit = client.get(reverse("jobs:estimate_edit", args=[row.pk])).context["form"]
    assert [each["price"].value() for each in edit.choices] == [None, None, None]


def test_without_a_price_on_the_list_one_is_asked_for_at_the_field(client, desk):
    typed = {"name": "Noor Vale", "model": "Saloon", "size_class": "D"}
    typed |= {"body": "sedan", "p1-package": WHOLE.value}
    typed |= {"p1-method": "hand_fitted", "p1-film": make_film("FB").pk}
    typed |= {"valid_until": day_in(0)}
    answer = tap(client, "estimate_make", **typed)
    assert answer.status_code == 422
    assert "Say the price." in answer.content.decode()
    assert 'value="Noor Vale"' in answer.content.decode()


def test_another_package_brings_its_panels_and_its_price_while_one_types(client, desk):
    Price.objects.create(code="package/track/D", amount=Decimal(2140), label="t")
    typed = {"model": "Saloon", "size_class": "D", "body": "sedan"}
    typed |= {"p2-package": "track", "p2-package_shown": "full_front"}
    typed |= {"p2-panel_hood": "on", "p2-price": "", "p2-method": "hand_fitted"}
    typed["p2-film"] = make_film("FB").pk
    looks = {
        target: client.post(
            reverse("jobs:estimate_look"),
            typed,
            headers={"HX-Request": "true", "HX-Target": target},
        ).content.decode()
        for target in ("package-2", "estimate-prices")
    }
    assert "15 panels" in looks["package-2"]
    assert 'id="package-2"' in looks["package-2"]
    assert "<html" not in looks["package-2"]
    assert "2,140.00" in looks["estimate-prices"]
    assert not CustomerEstimate.objects.exists()


def test_a_known_customer_is_taken_over_with_the_car(client, desk, row):
    typed = {"take": f"car:{row.vehicle_id}", "body": "sedan", "p1-package": "track"}
    answer = client.post(reverse("jobs:estimate_look"), typed)
    form = answer.context["form"]
    assert form["customer_pk"].value() == str(row.customer_id)
    assert form["model"].value() == "Saloon"
    assert form.choices[0]["package"].value() == "track"


def test_a_customer_s_page_names_the_estimates(client, desk, row):
    text = page(client, "customer_detail", row.customer_id)
    assert reverse("jobs:estimate_detail", args=[row.pk]) in text


def test_the_base_itself_keeps_one_yes_a_version(desk, row):
    version = newest(row)
    facts = {"version": version, "how": "link", "name": "A", "at": timezone.now()}
    facts["choice"] = version.choices.all()[0]
    EstimateAcceptance.objects.create(**facts)
    with pytest.raises(IntegrityError), transaction.atomic():
        EstimateAcceptance.objects.create(**facts)


def test_a_price_that_was_said_stays_in_the_next_version(client, desk, row):
    form = client.get(reverse("jobs:estimate_edit", args=[row.pk])).context["form"]
    assert form.choices[0]["price"].value() == Decimal(1490)


@given(
    days=st.integers(-40, 40),
    sent=st.none() | st.integers(0, 40),
    flags=st.tuples(st.booleans(), st.booleans(), st.booleans()),
)
def test_it_always_stands_somehow_and_is_never_asked_about_unsent(days, sent, flags):
    now = timezone.now()
    is_ended, is_booked, is_accepted = flags
    found = standing_of(
        is_ended=is_ended,
        is_booked=is_booked,
        is_accepted=is_accepted,
        valid_until=now.date() + timedelta(days=days),
        sent_at=None if sent is None else now - timedelta(days=sent),
        today=now.date(),
        now=now,
    )
    assert found.tone
    if found is Standing.TO_ASK:
        assert sent is not None
        assert sent >= 3
        assert days >= 0


def test_single_panels_are_offered_too(desk):
    single = replace(
        offered(Package.SINGLE_PANELS, price=390), panels=offered().panels[:1]
    )
    row = estimate_for(desk, single)
    assert newest(row).choices.get().lines.get().name == "front bumper, film A"
