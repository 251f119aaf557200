"""The signed ticket that a page carries to open its live stream.

It names a sign-in, a channel and a language, and is good for a few minutes; a page
whose ticket has run out fetches a new one, which asks for its session again.
"""

from __future__ import annotations

from dataclasses import dataclass

from django.conf import settings
from django.core import signing
from django.http import HttpRequest
from django.utils.translation import get_language

CHANNELS = frozenset({"floor", "changed"})
SALT = "shopapp.live"


@dataclass(frozen=True, kw_only=True)
class Ticket:
    """What a live stream may show, and for how long: while the sign-in lasts."""

    sign_in_pk: int
    channel: str
    language: str


def ticket_for(request: HttpRequest, *, channel: str) -> str:
    """A ticket for this request's sign-in; empty when there is none."""
    sign_in_pk = request.session.get("sign_in_pk")
    if not sign_in_pk:
        return ""
    return sign(
        Ticket(sign_in_pk=sign_in_pk, channel=channel, language=get_language() or "en")
    )


def sign(ticket: Ticket) -> str:
    """The ticket as text for a URL."""
    facts = [ticket.sign_in_pk, ticket.channel, ticket.language]
    return signing.dumps(facts, salt=SALT)


def read(text: str) -> Ticket | None:
    """The ticket, or None when it is forged, too old or for no known channel."""
    try:
        sign_in_pk, channel, language = signing.loads(
            text, salt=SALT, max_age=settings.LIVE_TICKET_S
        )
    except (signing.BadSignature, ValueError):
        return None
    if channel not in CHANNELS:
        return None
    return Ticket(sign_in_pk=sign_in_pk, channel=channel, language=language)
