"""The desk's day: who comes, who fetches, who waits; the morning in one file."""

from __future__ import annotations

import io
from datetime import timedelta
from decimal import Decimal

import pytest
from django.utils import timezone
from pypdf import PdfReader

from jobs.models import Booking, CustomerLink, Mark, Paper, WorkOrder
from jobs.papers.html_facts import whole_html
from jobs.papers.morning_actions import issue_morning
from shopapp.frame import Refused, perform
from shopapp.models import the_shop
from shopapp.printing import pdf_from_html
from tests.makers import (
    make_booking,
    make_customer,
    make_person,
    make_tap,
    make_vehicle,
    make_workorder,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def now():
    """Noon of the shop's day, so that an hour before and after is the same day."""
    here = timezone.localtime(timezone.now(), the_shop().zone)
    return here.replace(hour=12, minute=0, second=0, microsecond=0)


@pytest.fixture
def desk(client):
    client.force_login(person := make_person("desk", username="ben"))
    return person


def booked(at, plate, name="Robin Ash"):
    customer = make_customer(name, phone="555-0177")
    booking = make_booking(vehicle=make_vehicle(customer, plate=plate), at=at)
    Booking.objects.filter(pk=booking.pk).update(
        arrives_at=at, promised_at=at + timedelta(days=2)
    )
    return booking


def here(at, plate, *, promised_at, **fields):
    customer = make_customer(f"Owner of {plate}", phone="555-0188")
    order = make_workorder(at=at, vehicle=make_vehicle(customer, plate=plate))
    fields |= {"promised_at": promised_at, "arrived_at": at, "key_tag": "K7"}
    fields |= {"customer": customer}
    WorkOrder.objects.filter(pk=order.pk).update(**fields)
    order.refresh_from_db()
    return order


def day_of(client):
    return " ".join(client.get("/calls/").content.decode().split())


def printed(desk, now, **facts):
    answer = perform(make_tap(desk, at=now), issue_morning, **facts)
    paper = Paper.objects.get(pk=answer["pk"])
    page, *more = whole_html(paper)
    return paper, PdfReader(io.BytesIO(bytes(pdf_from_html(page, *more))))


def test_the_page_says_who_comes_who_fetches_and_what_is_owed(client, desk, now):
    booked(now + timedelta(hours=1), "TODAY 1", "Sam Oak")
    booked(now - timedelta(days=1), "MISSED 1")
    booked(now + timedelta(days=1), "LATER 1")
    here(
        now - timedelta(days=1),
        "FETCH 1",
        promised_at=now + timedelta(hours=5),
        price=Decimal("1234.00"),
    )
    page = day_of(client)
    comes, leaves = page.split('id="leaves"')
    assert "TODAY 1" in comes
    assert "Sam Oak" in comes
    assert 'href="tel:555-0177"' in comes
    assert "did not come" in comes
    assert "MISSED 1" in comes
    assert "LATER 1" not in page
    for part in ("FETCH 1", "K7", "1,234.00", 'href="tel:555-0188"'):
        assert part in leaves


def test_who_is_asked_by_link_about_a_mark_stands_there_until_the_answer(
    client, desk, now
):
    order = here(now, "MARK 1", promised_at=now + timedelta(days=2))
    mark = Mark.objects.create(
        workorder=order,
        when="after_wash",
        panel="hood",
        kind="stone_chip",
        seen_at=now,
    )
    assert "no link is open: call, or make one" in day_of(client)
    link = CustomerLink.objects.create(
        workorder=order, token_hash="x", expires_at=now + timedelta(days=9)
    )
    assert "asked by link" in day_of(client)
    CustomerLink.objects.filter(pk=link.pk).update(revoked_at=now)
    assert "no link is open: call, or make one" in day_of(client)
    Mark.objects.filter(pk=mark.pk).update(approved_at=now, approved_how="phone")
    assert "no answer yet" not in day_of(client)


def test_the_morning_is_one_file_by_arrival(desk, now):
    tomorrow = (now + timedelta(days=1)).date()
    late = here(
        now - timedelta(hours=2), "SECOND 2", promised_at=now + timedelta(days=2)
    )
    early = here(
        now - timedelta(days=1), "FIRST 1", promised_at=now + timedelta(days=1)
    )
    gone = here(now - timedelta(days=2), "GONE 3", promised_at=now + timedelta(hours=3))
    late_3 = here(
        now - timedelta(hours=1), "LATE 5", promised_at=now - timedelta(hours=2)
    )
    booked(now + timedelta(days=1), "COMES 4", "Sam Oak")
    paper, file = printed(desk, now, day=tomorrow)
    assert paper.is_for_the_desk
    assert [part["number"] for part in paper.facts["parts"]] == [
        f"{early.number}-WO",
        f"{late.number}-WO",
        f"{late_3.number}-WO",
    ]
    pages = [page.extract_text() for page in file.pages]
    assert "COMES 4" in pages[0]
    assert "555-0177" in pages[0]
    assert "FIRST 1" in pages[1]
    first = [at for at, text in enumerate(pages) if "FIRST 1" in text]
    second = [at for at, text in enumerate(pages) if "SECOND 2" in text]
    assert max(first) < max(second)
    assert not any(gone.number in text for text in pages)


def test_the_same_morning_pressed_again_is_the_same_paper(desk, now):
    here(now, "FIRST 1", promised_at=now + timedelta(days=1))
    perform(make_tap(desk, at=now), issue_morning)
    before = set(Paper.objects.values_list("number", "version"))
    perform(make_tap(desk, at=now), issue_morning)
    assert set(Paper.objects.values_list("number", "version")) == before


@pytest.mark.parametrize("days", [-1, 15])
def test_a_morning_that_is_over_or_far_is_refused(desk, now, days):
    with pytest.raises(Refused, match="today or one of the next two weeks"):
        perform(
            make_tap(desk, at=now), issue_morning, day=now.date() + timedelta(days=days)
        )


def test_the_morning_names_customers_and_is_not_for_everybody(client, desk, now):
    paper, _ = printed(desk, now)
    client.force_login(make_person("installer", username="chidi"))
    assert client.get(f"/papers/{paper.pk}/").status_code == 404
    key = {"key": "a-key-of-one-press"}
    assert client.post("/calls/morning/", key).status_code == 403
