"""Secrets for signing in: made for one use, and carried without leaving a trace."""

from __future__ import annotations

from dataclasses import dataclass, field

from django.utils.crypto import salted_hmac

from shopapp.secret_rules import weak_pin

LETTERS = "abcdefghjkmnpqrstuvwxyz23456789"
"""No l, i, o, 0 or 1: they are read off a screen and typed on a tablet."""
PASSWORD_SIGNS, PIN_DIGITS = 12, 4


@dataclass(frozen=True)
class Secret:
    """A password or PIN on its way to its hash.

    A record of it is keyed with the server's secret, so that the fingerprint of a
    form cannot be tried out against a list of passwords.
    """

    text: str = field(repr=False)

    def to_json(self) -> str:
        """What stands for it in a fingerprint."""
        return salted_hmac("shopapp.one_time.Secret", self.text).hexdigest()


def password_for(key: str) -> str:
    """The password that the press with this key gave, such as "abcd-efgh-jkmn".

    Worked out again from the key and the server's secret: it is stored nowhere.
    """
    number = int(salted_hmac("shopapp.one_time.password", key).hexdigest(), 16)
    signs = []
    for _ in range(PASSWORD_SIGNS):
        number, at = divmod(number, len(LETTERS))
        signs.append(LETTERS[at])
    word = "".join(signs)
    return "-".join(word[at : at + 4] for at in range(0, PASSWORD_SIGNS, 4))


def pin_for(key: str) -> str:
    """The PIN that the press with this key gave; one that a person may take."""
    number = int(salted_hmac("shopapp.one_time.pin", key).hexdigest(), 16)
    while weak_pin(pin=(pin := f"{number % 10**PIN_DIGITS:0{PIN_DIGITS}}")):
        number //= 10
    return pin
