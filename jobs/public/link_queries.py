"""Customers' secret addresses: made, hashed, spelled, and looked up again."""

from __future__ import annotations

import base64
import hashlib
from datetime import datetime

from django.conf import settings
from django.urls import reverse
from django.utils.crypto import salted_hmac

from jobs.models import CustomerLink

TOKEN_BYTES = 16


def token_of(*, key: str) -> str:
    """A token of 128 bits for one press of the button.

    Made from the press's own random key under the shop's secret, so that the same
    press sent twice shows the same address; another press gives another.
    """
    made = salted_hmac("jobs.links", key, algorithm="sha256").digest()[:TOKEN_BYTES]
    return base64.urlsafe_b64encode(made).decode().rstrip("=")


def hash_of(token: str) -> str:
    """What is kept of a token. It has 128 bits of its own, so no salt is needed."""
    return hashlib.sha256(token.encode()).hexdigest()


def address_of(token: str) -> str:
    """The whole address, as the customer gets it."""
    page = reverse("jobs:customer_page", args=[token])
    return str(settings.PUBLIC_URL).rstrip("/") + page


def link_of(token: str, *, now: datetime) -> CustomerLink | None:
    """The link of a token while it is good; looked up by hash, so not by guessing."""
    return (
        CustomerLink.objects.select_related(
            "workorder__vehicle", "workorder__film", "workorder__customer"
        )
        .filter(token_hash=hash_of(token), revoked_at=None, expires_at__gt=now)
        .first()
    )
