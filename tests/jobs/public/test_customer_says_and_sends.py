"""Yes and no to what was found, what looks wrong, and what is never told."""

from __future__ import annotations

import io
from datetime import timedelta

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.utils import timezone
from PIL import Image

from jobs.models import (
    Booking,
    Customer,
    CustomerLink,
    CustomerReport,
    Film,
    Mark,
    OrderPanel,
    Paper,
    WorkOrder,
)
from jobs.public.link_actions import open_link
from jobs.public.link_queries import hash_of, token_of
from shopapp.frame import Act, action
from shopapp.media import keep_bytes
from shopapp.models import HistoryEntry, Shop
from tests.furnished import do
from tests.makers import make_booking, make_person, make_vehicle, make_workorder

pytestmark = pytest.mark.django_db
KEYS = iter(f"key-of-a-press-{number:04}" for number in range(9999))


def photo(name: str = "edge.jpg", side: int = 40) -> SimpleUploadedFile:
    out = io.BytesIO()
    Image.new("RGB", (side, side), "navy").save(out, "JPEG")
    return SimpleUploadedFile(name, out.getvalue(), "image/jpeg")


def link_to(**row):
    token = token_of(key=f"sends {sorted(row)} {CustomerLink.objects.count()}")
    CustomerLink.objects.create(
        token_hash=hash_of(token), expires_at=timezone.now() + timedelta(days=9), **row
    )
    return f"/c/{token}/"


@pytest.fixture
def order():
    return make_workorder(at=timezone.now())


@pytest.fixture
def link(order):
    return link_to(workorder=order)


@pytest.fixture
def mark(order):
    return Mark.objects.create(
        workorder=order,
        when="after_wash",
        panel="hood",
        kind="stone_chip",
        size_mm=4,
        seen_at=timezone.now(),
        photo=keep_bytes(b"\xff\xd8 photo", "image/jpeg"),
    )


@pytest.fixture
def closed(order):
    left = timezone.now() - timedelta(days=2)
    WorkOrder.objects.filter(pk=order.pk).update(stage="closed", handed_over_at=left)
    OrderPanel.objects.filter(workorder=order).update(laid_at=left)
    order.refresh_from_db()
    return order


@pytest.fixture
def desk():
    return make_person("desk", username="dee")


def send(client, link, **typed):
    return client.post(link + "report/", {"key": next(KEYS), **typed})


# yes and no


def test_a_mark_is_asked_about_with_photo_size_and_what_it_means(client, link, mark):
    page = client.get(link).content.decode()
    assert "We found something: please answer" in page
    assert "4 mm" in page
    assert f"photos/{mark.pk}/" in page
    assert "Film goes over it only with your yes" in page
    assert page.count(f'name="marks" value="{mark.pk}"') == 2  # yes, and no


def test_a_no_reaches_the_desk_and_is_not_asked_again(client, desk, order, link, mark):
    answer = client.post(link + "decline/", {"key": next(KEYS), "marks": [mark.pk]})
    assert answer.status_code == 303
    mark.refresh_from_db()
    assert mark.declined_at
    assert mark.approved_at is None
    assert order.events.get(what="marks_declined").via == HistoryEntry.Via.LINK
    page = client.get(link).content.decode()
    assert "You said no: we call you" in page
    assert "Yes, lay film over it" not in page
    client.force_login(desk)
    assert "Said no to film over:" in client.get("/calls/").content.decode()
    checks = client.get(f"/workorders/{order.pk}/checks/").content.decode()
    assert "the customer said no: call" in checks


def test_a_no_may_carry_words_that_the_desk_reads(client, desk, order, link, mark):
    said = "My neighbour <b>did</b> this;  ask her first."
    typed = {"key": next(KEYS), "marks": [mark.pk], "because": said}
    assert client.post(link + "decline/", typed).status_code == 303
    told = "My neighbour &lt;b&gt;did&lt;/b&gt; this; ask her first."
    assert told in client.get(link).content.decode()
    client.force_login(desk)
    for page in ("/calls/", f"/workorders/{order.pk}/checks/"):
        assert told in client.get(page).content.decode()
    history = client.get(f"/workorders/{order.pk}/history/").content.decode()
    assert f"The customer said no to film over a mark. {told}" in history


def test_a_no_with_too_many_words_keeps_them(client, link, mark):
    said = "no " * 80
    typed = {"key": next(KEYS), "marks": [mark.pk], "because": said}
    answer = client.post(link + "decline/", typed)
    assert answer.status_code == 422
    page = answer.content.decode()
    assert said.strip() in page
    assert "at most 160 characters" in page
    mark.refresh_from_db()
    assert mark.declined_at is None


def test_what_is_wrong_stands_at_the_top_with_a_way_to_it(client, closed, link):
    answer = send(client, link, words="")
    assert answer.status_code == 422
    head, _, form = answer.content.decode().partition('id="wrong"')
    assert '<a href="#id-customer_report-words">What do you see, and where?' in head
    assert 'id="id-customer_report-words"' in form


def test_an_answer_about_a_mark_that_is_gone_is_said(client, link, mark):
    pk = mark.pk
    mark.delete()
    answer = client.post(link + "approve/", {"key": next(KEYS), "marks": [pk]})
    assert answer.status_code == 422
    assert (
        "A mark has changed since. Look at the page again." in answer.content.decode()
    )


def test_care_that_is_over_and_a_recheck_that_was_are_not_told(client, closed, link):
    page = client.get(link).content.decode()
    assert "Go easy on fast roads" in page
    assert "Do not wash the car" in page
    left = timezone.now() - timedelta(days=20)
    WorkOrder.objects.filter(pk=closed.pk).update(
        handed_over_at=left, recheck_at=left + timedelta(days=7)
    )
    page = client.get(link).content.decode()
    assert "Go easy on fast roads" not in page
    assert "Do not wash the car" not in page
    assert "Small clear water pockets" in page
    assert "recheck.ics" not in page


def test_an_answer_is_given_once(client, order, link, mark):
    for path in ("approve/", "decline/"):
        client.post(link + path, {"key": next(KEYS), "marks": [mark.pk]})
    mark.refresh_from_db()
    assert mark.approved_at
    assert mark.declined_at is None
    again = client.post(link + "decline/", {"key": next(KEYS), "marks": [mark.pk]})
    assert again.status_code == 422
    assert order.events.filter(what="marks_declined").count() == 0


def test_a_no_about_another_car_is_not_heard(client, link):
    other = make_workorder(booking=make_booking(vehicle=make_vehicle(plate="B")))
    foreign = Mark.objects.create(
        workorder=other,
        when="after_wash",
        panel="hood",
        kind="stone_chip",
        seen_at=timezone.now(),
    )
    answer = client.post(link + "decline/", {"key": next(KEYS), "marks": [foreign.pk]})
    foreign.refresh_from_db()
    assert answer.status_code == 422
    assert foreign.declined_at is None


# something looks wrong


def test_what_looks_wrong_reaches_the_desk_with_its_photos(client, desk, closed, link):
    files = [photo(), photo("two.jpg", 50)]
    answer = send(client, link, words="An edge lifts", photos=files)
    assert answer.status_code == 303
    report = CustomerReport.objects.get()
    assert report.photos.count() == 2
    assert closed.events.get(what="report_sent").by is None
    assert "We have your message of" in client.get(link).content.decode()
    client.force_login(desk)
    for page in ("/calls/", f"/workorders/{closed.pk}/handover/"):
        assert "An edge lifts" in client.get(page).content.decode()
    seen_to = f"/workorders/{closed.pk}/reports/{report.pk}/settle/"
    assert client.post(seen_to, {"key": next(KEYS)}).status_code == 303
    assert "An edge lifts" not in client.get("/calls/").content.decode()
    assert client.post(seen_to, {"key": next(KEYS)}).status_code == 422


def test_words_without_a_photo_are_enough_and_none_are_not(client, closed, link):
    assert send(client, link, words="A bubble").status_code == 303
    assert send(client, link, words="   ").status_code == 422
    assert CustomerReport.objects.count() == 1


def test_a_disguised_file_is_refused_and_the_words_stay(client, closed, link):
    script = SimpleUploadedFile("edge.jpg", b"<script>alert(1)</script>", "image/jpeg")
    answer = send(client, link, words="An edge lifts", photos=[script])
    page = answer.content.decode()
    assert answer.status_code == 422
    assert "This file is not a photo." in page
    assert "An edge lifts</textarea>" in page
    assert not CustomerReport.objects.exists()


def test_more_than_a_few_photos_are_refused_unopened(client, closed, link):
    many = [photo(f"{number}.jpg") for number in range(5)]
    answer = send(client, link, words="All edges", photos=many)
    assert answer.status_code == 422
    assert "4 photos are the most." in answer.content.decode()


def test_a_photo_larger_than_the_most_is_refused(client, closed, link, settings):
    settings.PHOTO_MAX_BYTES = 100
    answer = send(client, link, words="An edge", photos=[photo(side=400)])
    assert answer.status_code == 422
    assert "This photo is too large." in answer.content.decode()


def test_whoever_holds_the_link_fills_no_disk(client, closed, link):
    answers = [send(client, link, words=f"Message {n}").status_code for n in range(4)]
    assert answers == [303, 303, 303, 422]
    CustomerReport.objects.update(at=timezone.now() - timedelta(days=2))
    assert send(client, link, words="Later").status_code == 303


def test_a_car_that_is_here_is_called_about(client, order, link):
    answer = send(client, link, words="An edge lifts")
    assert answer.status_code == 422
    assert "Your car is still with us." in answer.content.decode()


# the booking, and where it leads


@pytest.fixture
def booking():
    return make_booking()


def test_a_booking_shows_days_cover_price_and_the_shop(client, booking):
    Shop.objects.update(address="12 Example Street", phone="555-0100")
    page = client.get(link_to(booking=booking)).content.decode()
    assert "Your car is booked." in page
    assert "panels will be covered." in page
    assert "1,800.00 USD" in page
    assert "12 Example Street" in page
    assert "Monday to Friday" in page
    assert 'href="tel:555-0100"' in page


def test_the_same_link_shows_the_order_once_the_car_is_in(client, booking):
    url = link_to(booking=booking)
    order = make_workorder(booking=booking, at=timezone.now())
    Booking.objects.filter(pk=booking.pk).update(state="arrived")
    page = client.get(url).content.decode()
    assert "Your car is with us." in page
    assert client.get(link_to(workorder=order)).status_code == 200


def test_a_cancelled_booking_reads_like_a_dead_link(client, booking):
    url = link_to(booking=booking)
    dead = client.get("/c/AAAAAAAAAAAAAAAAAAAAAA/")
    Booking.objects.filter(pk=booking.pk).update(state="cancelled")
    assert client.get(url).status_code == dead.status_code == 404
    assert client.get(url).content == dead.content


def test_a_booking_takes_no_presses_of_an_order(client, booking):
    url = link_to(booking=booking)
    for path in ("agree/", "approve/", "decline/", "report/", "recheck/"):
        assert client.post(url + path, {"key": next(KEYS)}).status_code == 404


@pytest.mark.parametrize("what", ["bring", "ready"])
def test_the_dates_of_a_booking_go_into_a_calendar(client, booking, what):
    answer = client.get(f"{link_to(booking=booking)}calendar/{what}.ics")
    assert answer.status_code == 200
    assert b"BEGIN:VEVENT" in answer.content


def test_other_dates_are_not_there(client, booking):
    url = link_to(booking=booking)
    assert client.get(url + "calendar/recheck.ics").status_code == 404


@action("test.open_link")
def open_one(act: Act, *, booking_pk: int) -> dict[str, str]:
    row = act.lock(Booking, booking_pk)
    return {"address": open_link(act, booking=row, key="a mail's own key")}


def test_a_link_for_a_mail_opens_the_page(client, booking, desk):
    answer = do(desk, open_one, booking_pk=booking.pk)
    path = answer["address"].split("/c/")[1]
    assert "Your car is booked." in client.get(f"/c/{path}").content.decode()
    assert path.strip("/") not in str(list(booking.events.values()))


# who may look, and what is told


def test_dead_links_of_every_sort_read_the_same(client, order):
    gone = [f"/c/{token}/" for token in ("AAAAAAAAAAAAAAAAAAAAAA", "x", "..")]
    expired, shut = link_to(workorder=order), link_to(workorder=order)
    first, second = CustomerLink.objects.order_by("pk")
    now = timezone.now()
    CustomerLink.objects.filter(pk=first.pk).update(expires_at=now)
    CustomerLink.objects.filter(pk=second.pk).update(revoked_at=now)
    pages = {
        client.get(url).content for url in [*gone, expired, shut] if ".." not in url
    }
    assert len(pages) == 1


def test_no_search_engine_keeps_it_and_no_other_site_learns_of_it(client, link):
    answer = client.get(link)
    assert answer["X-Robots-Tag"] == "noindex, nofollow"
    assert answer["Referrer-Policy"] == "same-origin"
    assert '<meta name="robots" content="noindex, nofollow">' in answer.content.decode()


def test_the_desk_sees_that_the_link_was_looked_at(client, desk, order, link):
    client.force_login(desk)
    page = f"/workorders/{order.pk}/handover/"
    assert "not looked at yet" in client.get(page).content.decode()
    client.get(link)
    assert "last looked at" in client.get(page).content.decode()


def test_another_customers_paper_is_not_there(client, order, closed, link):
    stored = keep_bytes(b"%PDF-1.7 record", "application/pdf")
    other = make_workorder(booking=make_booking(vehicle=make_vehicle(plate="B")))
    common = {"version": 1, "size": "A4", "file": stored, "state": "issued"}
    common |= {"asked_at": timezone.now(), "subject": ""}
    for kind in ("care", "film_record"):
        own = Paper.objects.create(
            workorder=order, kind=kind, number=f"O-{kind}", **common
        )
        foreign = Paper.objects.create(
            workorder=other, kind=kind, number=f"F-{kind}", **common
        )
        assert client.get(f"{link}papers/{own.pk}/").status_code == 200
        assert client.get(f"{link}papers/{foreign.pk}/").status_code == 404


# afterwards


def test_film_and_warranty_stand_on_the_page(client, desk, closed, link):
    Film.objects.update(warranty_years=10)
    number = {"key": next(KEYS), "number": "REG 77"}
    client.force_login(desk)
    kept = client.post(f"/workorders/{closed.pk}/film/register/", number)
    assert kept.status_code == 303
    client.logout()
    page = client.get(link).content.decode()
    assert "Film and warranty record" in page
    assert "10 years" in page
    assert "REG 77" in page
    assert closed.events.filter(what="film_registered").count() == 1


def test_nothing_is_said_of_years_that_nobody_stated(client, closed, link):
    page = client.get(link).content.decode()
    assert "Warranty of the film's maker" not in page
    assert "Registered as" not in page


def test_care_stands_in_the_order_of_the_papers_strip(client, closed, link):
    page = client.get(link).content.decode()
    strip = ("Collected", "Wash from", "Come by for a look", "All settled")
    places = [page.index(word) for word in strip]
    assert places == sorted(places)
    assert "An edge lifts, or something looks wrong?" in page
    assert "Do so on any day, the first one too." in page


def test_an_account_customer_is_asked_for_no_money(client, order, link):
    WorkOrder.objects.filter(pk=order.pk).update(on_account=True)
    page = client.get(link).content.decode()
    assert "It goes on your account." in page
    assert "Still to pay" not in page


def test_a_customers_language_is_kept_by_the_desk(client, desk):
    customer = make_vehicle(plate="L").customer
    client.force_login(desk)
    typed = {"key": next(KEYS), "name": customer.name, "language": "es"}
    client.post(f"/customers/{customer.pk}/change/", typed)
    assert Customer.objects.get(pk=customer.pk).language == "es"
