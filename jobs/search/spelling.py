"""How something is found however it is written: its letters and digits only (pure).

A row keeps keys: words by their beginning, numbers by their beginning and by their end
(the last four digits of a phone, the last six signs of a VIN).
"""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable
from dataclasses import dataclass
from itertools import groupby

LONGEST = 60
"""Signs of a key; more are never compared."""
SHORTEST = 2
"""Signs that are searched for; one alone finds half the shop."""
SHORTEST_END = 3
"""Signs of a number's end."""
MOST_WORDS = 6
PHONE_END = 7
"""A phone typed with its country in front is compared by so many last digits."""
FROM_BEHIND = "~"
"""Before a key that is written backwards. No letter and no digit."""


def letters_and_digits(text: str) -> str:
    """`text` in capitals without accents, blanks and marks: "555-0109" is "5550109"."""
    apart = unicodedata.normalize("NFKD", text).casefold().upper()
    plain = unicodedata.normalize("NFKD", apart)
    return "".join(sign for sign in plain if sign.isalnum())[:LONGEST]


def from_behind(key: str) -> str:
    """The key that is begun by the end of `key`."""
    return FROM_BEHIND + key[::-1]


def word_keys(*texts: str) -> set[str]:
    """Keys of texts that are found by any word of theirs, or written in one."""
    keys: set[str] = set()
    for text in texts:
        parts = text.split()
        keys |= {letters_and_digits(" ".join(parts[at:])) for at in range(len(parts))}
        runs = groupby(text, key=str.isalnum)
        keys |= {letters_and_digits("".join(run)) for is_word, run in runs if is_word}
    return keys - {""}


def end_keys(*numbers: str) -> set[str]:
    """Keys of numbers that are found whole or by their end."""
    plain = {letters_and_digits(number) for number in numbers}
    return {from_behind(key) for key in plain - {""}}


def number_keys(*numbers: str) -> set[str]:
    """Keys of numbers that are found by their beginning or their end."""
    plain = {letters_and_digits(number) for number in numbers}
    return (plain - {""}) | end_keys(*numbers)


def customer_keys(*, name: str, phone: str, email: str) -> set[str]:
    """What a customer is found by."""
    mail = {letters_and_digits(email)} - {""}
    return shortened(word_keys(name) | number_keys(phone) | mail)


def vehicle_keys(
    *, plate: str, vin: str, make: str, model: str, colour: str, stock_number: str = ""
) -> set[str]:
    """What a car is found by. Old stores come through here without a stock number."""
    words = word_keys(f"{make} {model}", colour)
    return shortened(words | number_keys(plate, stock_number) | end_keys(vin))


def shortened(keys: Iterable[str]) -> set[str]:
    """The keys without those that another one begins with: it finds the same."""
    found: list[str] = []
    for key in sorted(keys, reverse=True):
        if not found or not found[-1].startswith(key):
            found.append(key)
    return set(found)


@dataclass(frozen=True, kw_only=True)
class Asked:
    """What is searched for.

    words   each of them is to be found, as a beginning or as a number's end
    joined  all in one: "SDW 2207" is one plate
    """

    words: tuple[str, ...]
    joined: str

    @property
    def is_enough(self) -> bool:
        """Whether it is long enough to be searched for."""
        return len(self.joined) >= SHORTEST

    @property
    def beginnings(self) -> tuple[tuple[str, ...], ...]:
        """For each word the beginnings of keys, one of which is to be there."""
        return tuple(beginnings(word) for word in self.words)


def asked_for(text: str) -> Asked:
    """What was typed; a single letter beside longer words is left out."""
    parts = [letters_and_digits(part) for part in text.split()]
    long_enough = [part for part in parts if len(part) >= SHORTEST]
    return Asked(
        words=tuple(long_enough[:MOST_WORDS]),
        joined="".join(parts)[:LONGEST],
    )


def beginnings(word: str) -> tuple[str, ...]:
    """What a key that holds this word begins with."""
    found = [word]
    if len(word) >= SHORTEST_END and any(sign.isdigit() for sign in word):
        found.append(from_behind(word))
    if word.isdigit() and len(word) > PHONE_END:
        found.append(from_behind(word[-PHONE_END:]))
    return tuple(found)


def holds(keys: Iterable[str], asked: Asked) -> bool:
    """Whether these keys alone hold what is asked for."""
    known = tuple(keys)

    def has(word: str) -> bool:
        return any(key.startswith(beginnings(word)) for key in known)

    whole = asked.is_enough and has(asked.joined)
    return whole or (bool(asked.words) and all(map(has, asked.words)))
