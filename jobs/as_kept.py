"""What was stored is read by classes that have changed since (pure).

A field that the class no longer has is left out, one that it has since got takes its
default, and a word that is no member any more stands as something plain. Nothing that
was stored fails a page.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import fields
from enum import StrEnum
from typing import Any, NamedTuple, TypeVar

W = TypeVar("W", bound=StrEnum)
R = TypeVar("R", bound=NamedTuple)


def known_fields(kind: type, stored: Mapping[str, Any]) -> dict[str, Any]:
    """Of a stored row what the dataclass still has a field for."""
    names = {each.name for each in fields(kind)}
    return {name: value for name, value in stored.items() if name in names}


def row_as(kind: type[R], stored: Sequence[Any]) -> R:
    """A stored row as this named tuple; what it has no name for is left out."""
    return kind(*stored[: len(kind._fields)])


def word(kind: type[W], stored: str, *, usual: W) -> W:
    """The member that the stored word names, or `usual` where none does any more."""
    return kind(stored) if stored in set(kind) else usual
