"""Numbers as people write them: "1,200", "1 200", "1.200,5", "$650" (pure).

A sign between digits may part thousands or decimals. Where the text alone does not
say which, both readings come back, and whoever knows the range decides or asks.
Source: the ways of writing a number of the Unicode CLDR number patterns, in short.
"""

from __future__ import annotations

import re
from decimal import Decimal, InvalidOperation

BLANKS = dict.fromkeys(map(ord, " \t\u00a0\u2009\u202f'’"))
CURRENCY = re.compile(r"^(?:[A-Z]{3}|[$€£¥])?(.*?)(?:[A-Z]{3}|[$€£¥])?$")
SHAPE = re.compile(r"[+-]?[0-9]*(?:[.,][0-9]+)*[.,]?")
GROUPED = r"[+-]?[1-9][0-9]{{0,2}}(?:\{sign}[0-9]{{3}})+"
PLAIN = re.compile(r"[+-]?(?:[0-9]+\.?[0-9]*|\.[0-9]+)(?:[eE][+-]?[0-9]{1,3})?")


def is_key(text: str) -> bool:
    """Whether a text can be the key of a row: a whole number that a store counts to.

    >>> is_key("12"), is_key("²"), is_key("9" * 19)
    (True, False, False)
    """
    return text.isdecimal() and len(text) <= 18


def readings(text: str) -> tuple[Decimal, ...]:
    """What a typed number may mean: nothing, one number, or two.

    text  as typed; blanks and a currency sign or code are passed over

    >>> readings("1.200,5"), readings("$650"), readings("1,200")
    ((Decimal('1200.5'),), (Decimal('650'),), (Decimal('1200'), Decimal('1.200')))
    >>> readings("0,333"), readings("two")
    ((Decimal('0.333'),), ())
    """
    found = CURRENCY.fullmatch(text.translate(BLANKS))
    bare = (found[1] if found else text).replace("\u2212", "-")
    if "," not in bare and PLAIN.fullmatch(bare) and not _is_grouped(bare, "."):
        return _numbers(bare)
    if not SHAPE.fullmatch(bare) or not re.search("[0-9]", bare):
        return ()
    if "," in bare and "." in bare:
        return _both_signs(bare)
    sign = "," if "," in bare else "."
    without, as_point = bare.replace(sign, ""), bare.replace(sign, ".")
    if bare.count(sign) > 1:
        return _numbers(without) if _is_grouped(bare, sign) else ()
    if _is_grouped(bare, sign):
        return _numbers(without, as_point)
    return _numbers(as_point)


def _both_signs(bare: str) -> tuple[Decimal, ...]:
    """The last sign parts the decimals, the other one the thousands."""
    decimal = max(",.", key=bare.rfind)
    thousand = "." if decimal == "," else ","
    whole, _, part = bare.rpartition(decimal)
    if not _is_grouped(whole, thousand):
        return ()
    return _numbers(f"{whole.replace(thousand, '')}.{part or '0'}")


def _is_grouped(text: str, sign: str) -> bool:
    return bool(re.fullmatch(GROUPED.format(sign=sign), text))


def _numbers(*texts: str) -> tuple[Decimal, ...]:
    try:
        return tuple(Decimal(text) for text in texts)
    except InvalidOperation:
        return ()
