"""A mail goes out: marked, sent, marked again, each committed by itself.

What may have reached the server is never sent a second time by itself: an answer
that does not come leaves it "perhaps sent", and the desk decides.
"""

from __future__ import annotations

import smtplib
from datetime import datetime
from email.utils import formataddr

from django.core.mail import EmailMessage, get_connection
from django.utils import timezone

from jobs.mail.actions import begin_mail, end_mail, go_over_mails, write_mails
from jobs.mail.due_queries import due_now
from jobs.mail.kinds import Kind
from jobs.mail.queries import filled_words, sender, waiting_now
from jobs.models import Mail
from jobs.public.link_queries import address_of, is_reachable, token_of
from shopapp.frame import Tap, perform
from shopapp.models import HistoryEntry

State = Mail.State
FOR_GOOD = 500
TRIAL_WORDS = "This is a trial. Whoever reads it: the shop's mails arrive."


def go_over(*, now: datetime) -> None:
    """What is due by the clock is written down; what waits is rung again."""
    if due := due_now(now=now):
        perform(_tap(now), write_mails, due=due)
    if waits := waiting_now(now=now):
        perform(_tap(now), go_over_mails, mail_pks=waits)


def deliver(pk: int) -> None:
    """Send one mail, once."""
    begun = perform(_tap(timezone.now()), begin_mail, mail_pk=pk)
    if not begun.facts["go"]:
        return
    state, said = sent(message_of(Mail.objects.get(pk=pk)))
    perform(_tap(timezone.now()), end_mail, mail_pk=pk, state=state, said=said)


def _tap(now: datetime) -> Tap:
    return Tap.made_by(None, at=now, via=HistoryEntry.Via.TASK)


def message_of(mail: Mail) -> EmailMessage:
    """The mail as it goes out. Its address of the customer's page is kept nowhere."""
    known = sender()
    subject, body = known["name"], TRIAL_WORDS
    if (row := mail.row) is not None:
        link = address_of(token_of(key=mail.key)) if is_reachable() else ""
        words = filled_words(row, Kind(mail.kind), link=link, customer=row.customer)
        subject, body = words.subject, words.words
    host = known["address"].rpartition("@")[2] or "localhost"
    return EmailMessage(
        subject=subject,
        body=body,
        from_email=formataddr((known["name"], known["address"] or "shop@localhost")),
        to=[mail.to],
        reply_to=[known["reply_to"]] if known["reply_to"] else [],
        headers={
            # One of its own, the same at each try (RFC 5322, 3.6.4).
            "Message-ID": f"<{mail.key}@{host}>",
            # No machine answers it (RFC 3834, 5).
            "Auto-Submitted": "auto-generated",
        },
    )


def sent(message: EmailMessage) -> tuple[State, str]:
    """Hand it to the server: the state that it is in then, and what was said."""
    connection = get_connection()
    try:
        connection.open()
    except (smtplib.SMTPException, OSError) as error:
        return State.WAITING, _words(error)
    try:
        connection.send_messages([message])
    except smtplib.SMTPRecipientsRefused as error:
        return _by_code(*next(iter(error.recipients.values())))
    except smtplib.SMTPResponseException as error:
        return _by_code(error.smtp_code, error.smtp_error)
    except (smtplib.SMTPException, OSError) as error:
        # It may have come through before the line went dead.
        return State.UNSURE, _words(error)
    finally:
        connection.close()
    return State.SENT, ""


def _by_code(code: int, text: bytes | str) -> tuple[State, str]:
    """5yz is for good, 4yz may pass (RFC 5321, 4.2.1)."""
    words = text.decode("utf-8", "replace") if isinstance(text, bytes) else text
    state = State.REFUSED if code >= FOR_GOOD else State.WAITING
    return state, f"{code} {words}"


def _words(error: Exception) -> str:
    return str(error) or type(error).__name__
