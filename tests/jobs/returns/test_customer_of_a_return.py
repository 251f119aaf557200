"""What the customer of a return visit reads, in English and in Spanish."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.utils import timezone, translation
from django.utils.translation import gettext

from jobs.findings.trace import defect_kinds
from jobs.handover.actions import give_car
from jobs.models import Booking, Customer, CustomerLink, Defect, ReturnVisit
from jobs.public.link_queries import hash_of, token_of
from jobs.public.return_words import CAME_OF_IT, FAULTS, PAYS
from jobs.returns.settle_actions import settle_fault
from tests.jobs.returns.returns import begin
from tests.jobs.taps import do

db = pytest.mark.django_db


def read(client, *, lang="en", **row) -> str:
    """The customer's page."""
    token = token_of(key=f"return {row} {lang}")
    until = timezone.now() + timedelta(days=9)
    CustomerLink.objects.create(token_hash=hash_of(token), expires_at=until, **row)
    answer = client.get(f"/c/{token}/", {"lang": lang})
    assert answer.status_code == 200
    return answer.content.decode()


def put_right(by, back) -> None:
    facts = {"workorder_pk": back.pk, "defect_pk": Defect.objects.get().pk}
    do(by, settle_fault, outcome="touched_up", **facts)


def test_every_kind_outcome_and_payer_has_the_customers_words():
    assert FAULTS.keys() == defect_kinds().keys()
    assert CAME_OF_IT.keys() == set(Defect.State.values)
    assert PAYS.keys() == {"", *ReturnVisit.Payer.values}


@db
def test_the_page_says_why_the_car_is_back_and_covers_nothing_beforehand(
    client, quick_order, installer
):
    back = begin(installer, quick_order)
    text = read(client, workorder=back)
    assert "Your car is back with us." in text
    assert "Front bumper</strong>: an edge lifts" in text
    assert "We tell you whether it costs you anything." in text
    assert "will be covered" not in text
    # What is done is not known: nothing is there to agree to.
    assert "What we agree" not in text
    put_right(installer, back)
    text = read(client, booking=back.booking)
    assert "Your car is ready: come and collect it." in text
    assert "put right" in text


@db
def test_put_right_without_film_there_is_no_care_of_fresh_film(
    client, quick_order, installer
):
    back = begin(installer, quick_order, paid_by="shop")
    put_right(installer, back)
    do(installer, give_car, workorder_pk=back.pk, how="person")
    text = read(client, workorder=back)
    assert "You collected your car on" in text
    assert "What your car came back for" in text
    assert "You pay nothing for this." in text
    assert "Do not wash the car." not in text
    assert "Come by for a look" in text


@db
def test_the_link_of_the_old_order_says_that_the_car_is_back(
    client, quick_order, installer
):
    begin(installer, quick_order)
    assert "Your car is back with us." in read(client, workorder=quick_order)


@db
def test_a_car_that_comes_back_is_no_new_booking(client, quick_order, installer):
    comes = timezone.now() + timedelta(days=2)
    pk = begin(installer, quick_order, is_here=False, arrives_at=comes)
    text = read(client, booking=Booking.objects.get(pk=pk))
    assert "Bring your car back: we put it right." in text
    assert "an edge lifts" in text
    assert "Your car is booked." not in text
    assert "Your car comes back to us on" in read(client, workorder=quick_order)


@db
def test_all_of_it_is_there_in_spanish(client, quick_order, installer):
    Customer.objects.update(language="es")
    back = begin(installer, quick_order)
    text = read(client, lang="es", workorder=back)
    assert "un borde se levanta" in text
    assert "Por qué volvió su auto" in text
    with translation.override("es"):
        words = [*FAULTS.values(), *CAME_OF_IT.values(), *filter(None, PAYS.values())]
        assert all(gettext(word.text) != word.text for word in words)
