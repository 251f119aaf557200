"""What a telephone number is written with, and when two are the same (pure)."""

from __future__ import annotations

import re

from jobs.search.spelling import PHONE_END
from shopapp.say import Say, say

EXTENSION = re.compile(r"\b(ext\.?|x)\s*(?=\d)|(?<=\d)x(?=\d)", re.IGNORECASE)
FEWEST_DIGITS = 5
"""A shorter number is no telephone's: many would share it."""


def phone_problem(text: str) -> Say | None:
    """Why this is no telephone number; nothing at all is none either way."""
    plain = EXTENSION.sub("", text)
    if any(sign.isalpha() for sign in plain):
        return say("“{phone}” has letters. Write the number in digits.", phone=text)
    if text.strip() and not any(sign.isdigit() for sign in text):
        return say("“{phone}” has no digit.", phone=text)
    return None


def digits_of(phone: str) -> str:
    """The digits that tell a telephone, without a country in front; "" if too few."""
    digits = "".join(sign for sign in phone if sign.isdigit())
    return digits[-PHONE_END:] if len(digits) >= FEWEST_DIGITS else ""


def dialled(phone: str) -> str:
    """What a telephone dials: the digits, a plus in front where it was written.

    >>> dialled("+1 (312) 555-0142 ext. 3"), dialled("555-0142")
    ('+13125550142', '5550142')
    """
    own = EXTENSION.split(phone)[0]
    plus = "+" if own.strip().startswith("+") else ""
    return plus + "".join(sign for sign in own if sign.isdigit())
