"""A mail goes out once: what the server says, what a crash leaves, what is told."""

from __future__ import annotations

import email
import os
import signal
import subprocess
import sys
from datetime import timedelta
from email.policy import default as modern

import pytest
from django.utils import timezone

from jobs.customers.actions import change_customer
from jobs.mail.actions import send_mail, settle_mail, text_customer
from jobs.mail.delivery_tasks import deliver, go_over
from jobs.mail.queries import sms_address, to_see_to, waiting_now
from jobs.models import CustomerLink, Mail, MailRule
from jobs.public.link_queries import address_of, link_of, token_of
from shopapp.frame import Refused
from shopapp.models import Shop, Submission
from tests.conftest import environment, wait_until
from tests.jobs.mail.post_office import mail_server
from tests.jobs.taps import do
from tests.makers import make_booking, make_customer, make_vehicle, make_workorder
from tests.stores import ROOT

db = pytest.mark.django_db


@pytest.fixture
def office(settings):
    """The shop's mail server."""
    with mail_server() as office:
        settings.EMAIL_BACKEND = "django.core.mail.backends.smtp.EmailBackend"
        settings.EMAIL_HOST, settings.EMAIL_PORT = "127.0.0.1", office.port
        settings.EMAIL_USE_TLS = settings.EMAIL_USE_SSL = False
        settings.EMAIL_TIMEOUT = 5
        settings.PUBLIC_URL = "https://shop.example.com"
        Shop.objects.update(name="Film by the river", email="shop@example.com")
        yield office


@pytest.fixture
def booking(desk):
    customer = make_customer(email="robin@example.com")
    now = timezone.now()
    return make_booking(
        desk,
        vehicle=make_vehicle(customer),
        arrives_at=now + timedelta(days=5),
        promised_at=now + timedelta(days=7),
        at=now - timedelta(minutes=10),
    )


def asked(desk, booking, kind="booked") -> Mail:
    answer = do(desk, send_mail, kind=kind, booking_pk=booking.pk)
    return Mail.objects.get(pk=answer["pk"])


def read(text):
    return email.message_from_bytes(text.encode(), policy=modern)


@db
def test_it_goes_from_the_shop_to_the_customer_with_a_link_that_opens(
    office, desk, booking
):
    mail = asked(desk, booking)
    deliver(mail.pk)
    mail.refresh_from_db()
    assert (mail.state, mail.to) == ("sent", "robin@example.com")
    (text,) = office.mails
    came = read(text)
    assert came["From"] == "Film by the river <shop@example.com>"
    assert came["To"] == "robin@example.com"
    assert came["Reply-To"] == "shop@example.com"
    assert came["Auto-Submitted"] == "auto-generated"
    address = address_of(token_of(key=mail.key))
    assert address in came.get_content()
    assert link_of(address.rstrip("/").rpartition("/")[2], now=timezone.now())
    assert booking.events.filter(what="mail_sent", facts__mail=mail.pk).exists()


@db
def test_the_address_of_the_page_is_kept_nowhere(office, desk, booking):
    mail = asked(desk, booking)
    deliver(mail.pk)
    token = token_of(key=mail.key)
    assert token in office.mails[0].replace("=\n", "")
    rows = [
        *Mail.objects.values_list(),
        *Submission.objects.values_list(),
        *booking.events.values_list(),
        *CustomerLink.objects.values_list(),
    ]
    assert token not in repr(rows)


@db
def test_sent_again_by_a_second_bell_it_goes_once(office, desk, booking):
    mail = asked(desk, booking)
    for _ in range(3):
        deliver(mail.pk)
    assert len(office.mails) == 1


@db
@pytest.mark.parametrize(
    ("answers", "state", "said"),
    [
        ({"RCPT": "550 no such box"}, "refused", "550 no such box"),
        ({"MAIL": "553 not from you"}, "refused", "553 not from you"),
        ({"RCPT": "451 come later"}, "waiting", "451 come later"),
        ({"DATA": ""}, "unsure", "closed"),
    ],
)
def test_what_the_server_says_is_kept_and_for_good_or_not(
    office, desk, booking, answers, state, said
):
    office.answers = answers
    mail = asked(desk, booking)
    deliver(mail.pk)
    mail.refresh_from_db()
    assert mail.state == state
    assert said in mail.said
    assert office.mails == []


@db
def test_a_line_that_goes_dead_after_the_whole_mail_leaves_it_unsure(
    office, desk, booking
):
    office.after_data = ""
    mail = asked(desk, booking)
    deliver(mail.pk)
    mail.refresh_from_db()
    assert (mail.state, len(office.mails)) == ("unsure", 1)
    go_over(now=timezone.now() + timedelta(hours=5))
    deliver(mail.pk)
    assert len(office.mails) == 1


@db
def test_a_server_that_is_down_is_tried_again_later_and_not_by_every_mail(
    settings, office, desk, booking
):
    settings.EMAIL_PORT = 9
    first, second = asked(desk, booking), asked(desk, booking, "day_before")
    deliver(first.pk)
    for mail in (first, second):
        mail.refresh_from_db()
        assert mail.state == "waiting"
        assert mail.next_at > timezone.now() + timedelta(seconds=30)
    settings.EMAIL_PORT = office.port
    assert waiting_now(now=timezone.now()) == []
    assert set(waiting_now(now=first.next_at)) == {first.pk, second.pk}
    deliver(second.pk)
    second.refresh_from_db()
    assert (second.tries, office.mails) == (0, []), "rung before, and not its time"
    Mail.objects.update(next_at=timezone.now())
    deliver(first.pk)
    first.refresh_from_db()
    assert (first.state, first.tries, len(office.mails)) == ("sent", 2, 1)


@db
def test_where_it_cannot_go_in_time_it_is_refused_and_stands_on_the_list(
    settings, office, desk, booking, client
):
    settings.EMAIL_PORT = 9
    mail = asked(desk, booking)
    Mail.objects.update(not_after=timezone.now() + timedelta(seconds=30))
    deliver(mail.pk)
    mail.refresh_from_db()
    assert mail.state == "refused"
    assert list(to_see_to()) == [mail]
    client.force_login(desk)
    page = client.get("/calls/").content.decode()
    assert "Mails that did not go" in page
    assert "Text it" in page
    do(desk, settle_mail, mail_pk=mail.pk, how="seen_to")
    assert "Mails that did not go" not in client.get("/calls/").content.decode()


@db
def test_an_unsure_one_is_sent_again_only_by_a_person(office, desk, booking):
    office.after_data = ""
    mail = asked(desk, booking)
    deliver(mail.pk)
    office.after_data = "250 taken"
    do(desk, settle_mail, mail_pk=mail.pk, how="again")
    newest = Mail.objects.first()
    assert newest != mail
    deliver(newest.pk)
    assert len(office.mails) == 2
    with pytest.raises(Refused, match="seen to it already"):
        do(desk, settle_mail, mail_pk=mail.pk, how="again")


@db
def test_a_cancelled_booking_and_a_customer_who_wants_none_get_none(
    office, desk, booking
):
    waits = asked(desk, booking)
    Mail.objects.filter(pk=waits.pk).update(asked_by=None)
    do(
        desk,
        change_customer,
        customer_pk=booking.customer_id,
        name="Robin Ash",
        phone="555-0101",
        email="robin@example.com",
        is_account=False,
        notes="",
        mail_off=True,
    )
    deliver(waits.pk)
    waits.refresh_from_db()
    assert (waits.state, office.mails) == ("dropped", [])
    assert "wants no mails" in waits.said


@db
def test_without_an_address_of_the_shop_the_words_go_without_a_link(
    settings, office, desk, booking
):
    settings.PUBLIC_URL = "http://localhost:8000"
    mail = asked(desk, booking)
    deliver(mail.pk)
    words = read(office.mails[0]).get_content()
    assert "/c/" not in words
    assert "calendar" not in words
    assert "your car is booked" in words
    assert not CustomerLink.objects.exists()


@db
def test_a_spanish_customer_reads_spanish(office, desk, booking):
    booking.customer.language = "es"
    booking.customer.save()
    mail = asked(desk, booking)
    deliver(mail.pk)
    came = read(office.mails[0])
    assert "cita para el" in came["Subject"]
    assert "su auto tiene cita" in came.get_content()


@db
def test_a_text_is_opened_with_number_and_words_and_noted(settings, desk, booking):
    settings.PUBLIC_URL = "https://shop.example.com"
    key = "k" * 32
    do(desk, text_customer, kind="booked", booking_pk=booking.pk, link_key=key)
    assert link_of(token_of(key=key), now=timezone.now())
    assert booking.events.filter(what="texted").exists()
    # RFC 5724, 2.2: body is percent-encoded UTF-8, a blank is %20.
    address = sms_address(booking.customer, "Hi, ¿listo? 50 %")
    assert address == "sms:5550101?body=Hi%2C%20%C2%BFlisto%3F%2050%20%25"


@db
def test_a_text_without_a_number_says_so(desk):
    booking = make_booking(desk, vehicle=make_vehicle(make_customer(phone="")))
    with pytest.raises(Refused, match="no telephone number"):
        do(desk, text_customer, kind="booked", booking_pk=booking.pk, link_key="k" * 8)


@db
def test_an_order_is_not_written_about_as_a_booking(desk):
    order = make_workorder(desk)
    order.customer.email = "robin@example.com"
    order.customer.save()
    with pytest.raises(Refused, match="nothing of this kind"):
        do(desk, send_mail, kind="booked", workorder_pk=order.pk)


CRASH = """
import django
django.setup()
from jobs.mail.delivery_tasks import deliver
import sys
deliver(int(sys.argv[1]))
"""


@pytest.mark.django_db(transaction=True)
def test_killed_between_sending_and_marking_it_is_never_sent_again(
    office, desk, booking
):
    """A process of its own is killed while the server holds the whole mail."""
    MailRule.objects.get_or_create(pk=1)
    office.waits = True
    mail = asked(desk, booking)
    smtp = {"EMAIL_HOST": "127.0.0.1", "EMAIL_PORT": str(office.port)}
    worker = subprocess.Popen(
        [sys.executable, "-c", CRASH, str(mail.pk)],
        cwd=ROOT,
        env=environment(
            **smtp, EMAIL_TLS="no", DJANGO_SETTINGS_MODULE="shopapp.settings"
        ),
    )
    assert office.got_one.wait(60)
    os.kill(worker.pid, signal.SIGKILL)
    worker.wait()
    office.let_go.set()
    mail.refresh_from_db()
    assert (mail.state, len(office.mails)) == ("sending", 1)
    late = timezone.now() + timedelta(minutes=6)
    assert waiting_now(now=late) == [mail.pk]
    deliver(mail.pk)
    mail.refresh_from_db()
    assert mail.state == "unsure"
    assert "stopped while it was being sent" in mail.said
    deliver(mail.pk)
    assert len(office.mails) == 1
    wait_until(lambda: list(to_see_to()) == [mail])
