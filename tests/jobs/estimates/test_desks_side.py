"""What the desk sees and types of estimates."""

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

from jobs.coverage.catalogue import Package
from jobs.estimates.actions import (
    print_estimate,
)
from jobs.estimates.queries import estimates_waiting
from jobs.estimates.standing import Standing, standing_of
from jobs.mail.actions import begin_mail, send_mail
from jobs.models import (
    CustomerEstimate,
    EstimateAcceptance,
    EstimateRule,
)
from shopapp.models import Price
from tests.estimates import (
    FRONT,
    TRACK,
    WHOLE,
    day_in,
    estimate_for,
    newest,
    offered,
    send,
    yes,
)
from tests.jobs.taps import do, page, tap
from tests.makers import make_film

pytestmark = pytest.mark.django_db


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
