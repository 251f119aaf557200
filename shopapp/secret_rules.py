"""What a password or a PIN may not be.

NIST SP 800-63B (rev. 3), 5.1.1.2: length counts and no rule of composition; refused is
what is commonly used, what repeats or runs on, and what is made of the person's or the
shop's own names. The common ones are left to the framework's list.
"""

from __future__ import annotations

from collections.abc import Iterable

from shopapp.say import Say, say

SHORTEST_NAME = 3
OWN_LETTERS = 6
"""Letters that a password has beside the names in it."""
DIFFERENT_SIGNS, DIFFERENT_DIGITS = 5, 3
YEAR_DIGITS = 4
CENTURIES = ("19", "20")
LONGEST_PART = 4


def weak_password(*, word: str, names: Iterable[str]) -> Say | None:
    """Why this password is too easy for somebody of these names; None: it is not."""
    text = word.casefold()
    if len(set(text)) < DIFFERENT_SIGNS or _is_run(text) or _repeats(text):
        return say("This repeats itself or runs on like 123456. Take some words.")
    rest = text
    for name in sorted(_parts(names), key=len, reverse=True):
        rest = rest.replace(name, "")
    own = sum(sign.isalpha() for sign in rest)
    if rest != text and own < OWN_LETTERS:
        return say("This is little more than a name of yours or of the shop.")
    return None


def weak_pin(*, pin: str) -> Say | None:
    """Why this PIN would be tried first; None: it would not."""
    if len(set(pin)) < DIFFERENT_DIGITS or _is_run(pin) or _repeats(pin):
        return say("Too easy to guess: take three different digits or more, in no row.")
    if len(pin) == YEAR_DIGITS and pin.startswith(CENTURIES):
        return say("Too easy to guess: it reads like a year.")
    return None


def bare(word: str) -> str:
    """Without the digits and marks around it: "password" of "password2026!"."""
    text = word.casefold()
    ends = {sign for sign in text if not sign.isalpha()}
    return text.strip("".join(ends))


def _parts(names: Iterable[str]) -> set[str]:
    words = {part for name in names for part in _words(name)}
    return {word for word in words if len(word) >= SHORTEST_NAME}


def _words(name: str) -> list[str]:
    return "".join(c if c.isalnum() else " " for c in name.casefold()).split()


def _is_run(text: str) -> bool:
    """Up or down by one from sign to sign, 9 followed by 0 or not."""
    steps = {ord(b) - ord(a) for a, b in zip(text, text[1:], strict=False)}
    return steps <= {1, -9} or steps <= {-1, 9}


def _repeats(text: str) -> bool:
    """One part of up to four signs, over and over."""
    return any(
        text == (text[:size] * len(text))[: len(text)]
        for size in range(1, min(LONGEST_PART, len(text) // 2) + 1)
    )
