"""A mail's words for one customer; what was written; what did not go."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import Any
from urllib.parse import quote

from django.conf import settings
from django.db.models import Q, QuerySet
from django.utils import formats, timezone, translation

from jobs.customers.phones import dialled
from jobs.estimates.queries import newest_version
from jobs.handover.queries import care_of
from jobs.mail.kinds import LANGUAGES, PLACES, USUAL, Kind, Words
from jobs.models import (
    Booking,
    Customer,
    CustomerEstimate,
    Mail,
    MailRule,
    MailWords,
)
from jobs.money.queries import money_of
from jobs.public.link_queries import Linked
from shopapp.models import the_shop
from shopapp.say import Say, say

DAY = {"en": "l j F", "es": r"l j \d\e F"}
State = Mail.State
BEGUN_LONG_AGO = timedelta(minutes=5)
OF_BOOKING = (Kind.BOOKED, Kind.DAY_BEFORE)
OF_ORDER = (Kind.READY, Kind.QUESTION)
AFTERWARDS = (Kind.FIRST_WASH, Kind.RECHECK)


def mail_rule() -> MailRule:
    """What goes by itself; nothing where nobody made the row."""
    return MailRule.objects.filter(pk=1).first() or MailRule(pk=1)


def kinds_of(row: Linked) -> tuple[Kind, ...]:
    """What may be written about a row as it stands."""
    if isinstance(row, CustomerEstimate):
        is_open = row.booking_id is None and row.ended_at is None
        return (Kind.ESTIMATE,) if is_open else ()
    if isinstance(row, Booking):
        return OF_BOOKING if row.state == Booking.State.BOOKED else ()
    if not row.is_closed:
        return OF_ORDER
    return AFTERWARDS if row.recheck_at else AFTERWARDS[:1]


def words_of(kind: Kind, language: str) -> Words:
    """The shop's own words, else those that it began with."""
    own = MailWords.objects.filter(kind=kind, language=language).first()
    return own.as_words if own else USUAL[kind, language]


def filled_words(row: Linked, kind: Kind, *, link: str, customer: Customer) -> Words:
    """The words for this customer, in their language, with the shop's times.

    link  the whole address, "" where no phone can reach one
    """
    language = customer.language if customer.language in LANGUAGES else "en"
    with translation.override(language), timezone.override(the_shop().zone):
        facts = facts_of(row, kind, link=link, customer=customer, language=language)
    return words_of(kind, language).filled(facts)


def facts_of(
    row: Linked,
    kind: Kind,
    *,
    link: str,
    customer: Customer,
    language: str,
) -> dict[str, str]:
    """What is filled in; "" for what there is not."""
    shop = the_shop()
    at = _moment(row, kind)
    facts = dict.fromkeys(PLACES, "") | {
        "name": customer.name,
        "car": row.vehicle.whole_name,
        "day": _day(at, language),
        "time": formats.date_format(timezone.localtime(at), "H:i") if at else "",
        "link": link,
        "shop": shop.name,
        "phone": shop.phone,
        "address": ", ".join(shop.address.split("\n")).replace("\r", ""),
    }
    if isinstance(row, CustomerEstimate):
        valid = newest_version(row).valid_until
        return facts | {"day": formats.date_format(valid, DAY[language])}
    facts["ready"] = _day(row.promised_at, language)
    owed = money_of(row)
    if owed.owed > 0 and not owed.on_account:
        facts["owed"] = f"{owed.owed:,.2f} {shop.currency}"
    return facts


def _moment(row: Linked, kind: Kind) -> datetime | None:
    """The moment that a mail of this kind is about."""
    if isinstance(row, CustomerEstimate):
        return None
    if isinstance(row, Booking):
        return row.arrives_at
    if kind is Kind.RECHECK:
        return row.recheck_at
    if kind is Kind.FIRST_WASH and row.handed_over_at:
        day = care_of(row, at=row.handed_over_at).wash_from
        return datetime.combine(day, mail_rule().morning_at, the_shop().zone)
    return None


def _day(at: datetime | None, language: str) -> str:
    if at is None:
        return ""
    return formats.date_format(timezone.localtime(at), DAY[language])


def no_address(customer: Customer) -> Say | None:
    """Why no mail can go to this customer."""
    if customer.email:
        return None
    return say("{name} has no e-mail address. Text or call.", name=customer.name)


def mails_about(row: Linked) -> QuerySet[Mail]:
    """What was written about a row; an order's booking with it. Newest first."""
    if isinstance(row, CustomerEstimate):
        return Mail.objects.filter(estimate=row)
    if isinstance(row, Booking):
        return Mail.objects.filter(booking=row)
    of_booking = Q(booking=row.booking_id, booking__isnull=False)
    return Mail.objects.filter(Q(workorder=row) | of_booking)


def to_see_to() -> QuerySet[Mail]:
    """What did not go, or perhaps did, and nobody has seen to it."""
    waits = Mail.objects.filter(
        state__in=[State.REFUSED, State.UNSURE], settled_at=None
    ).exclude(about="")
    rows = ("vehicle", "customer")
    named = [
        f"{of}__{row}" for of in ("booking", "workorder", "estimate") for row in rows
    ]
    return waits.select_related(*named).order_by("ended_at")


def last_trial() -> Mail | None:
    """The newest trial, and what the server said to it."""
    return Mail.objects.filter(about="").first()


def waiting_now(*, now: datetime) -> list[int]:
    """Mails that are to be tried now, and those that were begun and never ended."""
    waits = Q(state=State.WAITING, next_at__lte=now)
    begun = Q(state=State.SENDING, next_at__lte=now - BEGUN_LONG_AGO)
    return list(Mail.objects.filter(waits | begun).values_list("pk", flat=True)[:50])


def sms_address(customer: Customer, text: str) -> str:
    """What opens the phone's own messages with number and words (RFC 5724)."""
    # Its "sms-body" field is percent-encoded UTF-8, blanks as %20 (section 2.2).
    return f"sms:{dialled(customer.phone)}?body={quote(text, safe='')}"


def sender() -> dict[str, Any]:
    """Whom a mail is from and where answers go, as the settings stand."""
    shop, rule = the_shop(), mail_rule()
    reply_to = rule.reply_to or shop.email
    return {
        "name": shop.name,
        "address": settings.EMAIL_FROM or shop.email,
        "reply_to": reply_to,
        "is_folder": settings.EMAIL_BACKEND.endswith("filebased.EmailBackend"),
        "folder": str(settings.EMAIL_FILE_PATH),
        "server": f"{settings.EMAIL_HOST}:{settings.EMAIL_PORT}",
    }
