"""A plan holds keys; here they become the names of cars, people and bays (pure)."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from jobs.plan.shop import Part
from jobs.plan.words import PART_WORDS
from shopapp.say import Param, Say

Names = Mapping[str, str]
"""Key, "bay-2", to the name that it has now."""


def named(sentence: Say, names: Names) -> Say:
    """The sentence with names where its values are keys, or keys joined by ", "."""
    return Say(
        sentence.text,
        tuple((name, _named(name, value, names)) for name, value in sentence.params),
    )


def _named(name: str, value: Param, names: Names) -> Param:
    if not isinstance(value, str):
        return value
    if name == "part" and value in PART_WORDS:
        return PART_WORDS[Part(value)]
    parts = value.split(", ")
    known = all(part in names for part in parts)
    return joined(parts, names) if known else value


def joined(keys: Iterable[str], names: Names) -> str:
    """The names of several, "Chidi, Mira"; a key without a name is left out."""
    return ", ".join(names[key] for key in keys if key in names)
