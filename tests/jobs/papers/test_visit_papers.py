"""The estimate, the confirmation and the drop-off note on paper."""

from __future__ import annotations

import pytest
from django.urls import reverse

from jobs.checks.actions import add_mark
from jobs.condition.agreement_actions import agree_walk_round
from jobs.estimates.actions import print_estimate
from jobs.models import Booking, Customer, EstimateRule, Paper, WorkOrder
from jobs.papers.actions import issue_paper
from jobs.papers.html_facts import paper_html
from jobs.papers.visit_actions import print_confirmation
from jobs.public.link_actions import make_link
from jobs.public.link_queries import hash_of
from jobs.tasks import issue_paper as issue_paper_task
from shopapp.models import BackgroundTask
from tests.estimates import WHOLE, estimate_for, newest, offered, send, yes
from tests.jobs.papers.orders import pdf_of
from tests.jobs.taps import do, make_order
from tests.makers import make_booking, make_film, make_person, make_roll
from tests.presses import SIGNED

pytestmark = pytest.mark.django_db


@pytest.fixture
def desk(client):
    make_roll(make_film())
    person = make_person("desk", "installer", username="ben")
    client.force_login(person)
    return person


def printed(desk, row, *, size="A4"):
    facts = {"estimate_pk": row.pk, "version_pk": newest(row).pk, "size": size}
    return Paper.objects.get(pk=do(desk, print_estimate, **facts)["pk"])


def confirmed(desk, booking):
    answer = do(desk, print_confirmation, booking_pk=booking.pk)
    return Paper.objects.get(pk=answer["pk"])


def dropped(desk, order):
    answer = do(desk, issue_paper, workorder_pk=order.pk, kind="drop_off")
    return Paper.objects.get(pk=answer["pk"])


def issued(paper):
    task = BackgroundTask.objects.get(subject=f"paper {paper.pk}", state="waiting")
    issue_paper_task(task.pk)
    paper.refresh_from_db()
    return paper


@pytest.mark.parametrize("size", ["A4", "Letter"])
def test_the_fullest_estimate_is_one_page(desk, size):
    row = estimate_for(desk, *[offered(WHOLE, price=4900)] * 3)
    assert pdf_of(paper_html(printed(desk, row, size=size))).pages == 1


def test_an_estimate_says_packages_prices_validity_and_who_accepted(desk):
    row = estimate_for(desk)
    page = paper_html(printed(desk, row))
    assert "Full front" in page
    assert "2,140.00" in page
    assert "It holds until" in page
    assert "Signature" in page
    yes(desk, row, place=2, how="signature", strokes=SIGNED)
    paper = printed(desk, row)
    page = paper_html(paper)
    assert "Track · accepted" in page
    assert 'class="signature"' in page
    assert paper.number == f"{row.number}-1"


def test_a_confirmation_says_when_where_what_and_what_to_bring(desk):
    booking = make_booking(desk)
    page = paper_html(confirmed(desk, booking))
    for words in ("Bring it", "Planned ready", "1,800.00", "Bring the key"):
        assert words in page
    EstimateRule.objects.create(pk=1, bring="Come to the back gate.")
    page = paper_html(confirmed(desk, booking))
    assert "Come to the back gate." in page
    assert "Bring the key" not in page


def test_a_customer_s_paper_is_in_the_customer_s_language(desk):
    booking = make_booking(desk)
    Customer.objects.update(language="es")
    page = paper_html(confirmed(desk, booking))
    assert 'lang="es"' in page
    assert "Su auto tiene cita" in page


def test_a_drop_off_note_says_what_was_left_found_and_agreed(desk):
    order = make_order(desk)
    WorkOrder.objects.filter(pk=order.pk).update(key_tag="A7", mileage=35980)
    mark = {"panel": "hood", "kind": "stone_chip", "severity": 1, "size_mm": 3}
    do(desk, add_mark, workorder_pk=order.pk, **mark)
    page = paper_html(dropped(desk, order))
    for words in ("A7", "35980", "stone chip", "1,800.00", "Signature"):
        assert words in page
    signed = {"how": "signature", "name": "Robin Ash", "strokes": SIGNED}
    do(desk, agree_walk_round, workorder_pk=order.pk, **signed)
    page = paper_html(dropped(desk, order))
    assert "Robin Ash" in page
    assert 'class="signature"' in page
    assert pdf_of(page).pages == 1


def test_an_estimate_s_link_serves_its_paper_and_nobody_else_s(client, desk):
    one, other = estimate_for(desk), estimate_for(desk, name="Ada", phone="555-0177")
    mine, theirs = (issued(printed(desk, row)) for row in (one, other))
    token = send(desk, one)
    client.logout()
    url = reverse("jobs:customer_paper", args=[token, mine.pk])
    page = client.get(reverse("jobs:customer_page", args=[token]))
    assert url in page.content.decode()
    assert client.get(url).status_code == 200
    foreign = reverse("jobs:customer_paper", args=[token, theirs.pk])
    assert client.get(foreign).status_code == 404


def test_a_booking_s_link_serves_its_confirmation_alone(client, desk):
    one, other = make_booking(desk), make_booking(desk)
    mine, theirs = (issued(confirmed(desk, row)) for row in (one, other))
    token = _link_to(desk, one)
    client.logout()
    for paper, status in ((mine, 200), (theirs, 404)):
        url = reverse("jobs:customer_paper", args=[token, paper.pk])
        assert client.get(url).status_code == status


def _link_to(desk, booking: Booking) -> str:
    facts = {"booking_pk": booking.pk, "token_hash": hash_of("a token"), "days": 9}
    do(desk, make_link, **facts)
    return "a token"


def test_an_installer_does_not_read_an_estimate_or_a_confirmation(client, desk):
    papers = [printed(desk, estimate_for(desk)), confirmed(desk, make_booking(desk))]
    client.force_login(make_person("installer", username="chidi"))
    for paper in papers:
        url = reverse("jobs:paper_detail", args=[paper.pk])
        assert client.get(url).status_code == 404


def test_a_drop_off_note_says_what_was_signed_for_where_the_price_is_another_now(desk):
    order = make_order(desk)
    do(desk, agree_walk_round, workorder_pk=order.pk, how="person", name="Noor Vale")
    assert dropped(desk, order).facts["signed_price"] == ""
    WorkOrder.objects.filter(pk=order.pk).update(price=order.price + 90)
    order.refresh_from_db()
    page = paper_html(dropped(desk, order))
    assert "Agreed to at drop-off" in page
    assert "1,800.00 USD. What was added" in page
