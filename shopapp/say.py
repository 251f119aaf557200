"""Sentences of the pure rooms: an English pattern and its values.

A pure room never formats a number for a reader. It returns a `Say`; the edge
(`shopapp.templatetags.shop`) translates the pattern and shows the values in the
shop's units. `str(say)` is the plain metric English used in tests and logs.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from functools import lru_cache
from string import Formatter

from shopapp.figures import Figure

Param = str | int | float | Decimal | date | datetime | Figure


@dataclass(frozen=True)
class Say:
    """One sentence: `text` is a `str.format` pattern, `params` its named values.

    Raises ValueError when a name of the pattern has no value, so that a broken
    sentence fails where it is made and not on a tablet.

    >>> str(say("Roll {roll} is too short by {by}.", roll="R7", by=120))
    'Roll R7 is too short by 120.'
    """

    text: str
    params: tuple[tuple[str, Param], ...] = ()

    def __post_init__(self) -> None:
        if missing := _names(self.text) - {name for name, _ in self.params}:
            raise ValueError(f"no value for {sorted(missing)} in {self.text!r}")

    def __str__(self) -> str:
        return self.text.format(**{name: str(value) for name, value in self.params})


@lru_cache(maxsize=4096)
def _names(text: str) -> frozenset[str]:
    """The names in a pattern; patterns are few, sentences are many."""
    return frozenset(name for _, name, _, _ in Formatter().parse(text) if name)


def say(text: str, /, **params: Param) -> Say:
    """A `Say` from keyword values."""
    return Say(text, tuple(params.items()))


def say_to_json(sentence: Say) -> dict[str, object]:
    """`{"text": ..., "params": {...}}`, with figures as figures."""
    from_value = {
        name: value.to_json() if isinstance(value, Figure) else _plain(value)
        for name, value in sentence.params
    }
    return {"text": sentence.text, "params": from_value}


def say_from_json(stored: Mapping[str, object]) -> Say:
    """The sentence that `say_to_json` wrote."""
    params = stored["params"]
    assert isinstance(params, Mapping)
    return Say(
        str(stored["text"]),
        tuple(
            (name, Figure.from_json(value) if isinstance(value, Mapping) else value)
            for name, value in params.items()
        ),
    )


def _plain(value: Param) -> str | int | float:
    return value if isinstance(value, str | int | float) else str(value)
