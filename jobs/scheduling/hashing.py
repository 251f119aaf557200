"""One name for one problem: equal problems, however listed, have one hash (pure)."""

from __future__ import annotations

from dataclasses import fields, is_dataclass
from functools import cache
from hashlib import sha256

from jobs.scheduling.problem import Problem

IN_ORDER = {
    "Problem": {"levels"},
    "Activity": {"needs"},
    "Placed": {"resources"},
}
"""Lists whose order says something; all others are sorted."""
Known = dict[tuple[int, bool], str]


def problem_hash(problem: Problem) -> str:
    """SHA-256 in hex of all that a plan depends on; the problem's name is not in it."""
    return sha256(_canonical(problem, {}).encode()).hexdigest()


def _canonical(value: object, known: Known, *, is_ordered: bool = False) -> str:
    """The same text for the same meaning.

    known  texts of tuples: many activities share their windows and tables
    """
    if isinstance(value, tuple):
        key = (id(value), is_ordered)
        if key not in known:
            known[key] = _listed(value, known, is_ordered=is_ordered)
        return known[key]
    if is_dataclass(value):
        name, parts = _parts(value.__class__)
        texts = (
            _canonical(getattr(value, part), known, is_ordered=is_ordered)
            for part, is_ordered in parts
        )
        return f"{name}({','.join(texts)})"
    return repr(str(value)) if isinstance(value, str) else repr(value)


def _listed(value: tuple[object, ...], known: Known, *, is_ordered: bool) -> str:
    if not value or isinstance(value[0], int):
        return repr(value)
    texts = [_canonical(each, known) for each in value]
    return f"[{','.join(texts if is_ordered else sorted(texts))}]"


@cache
def _parts(kind: type) -> tuple[str, tuple[tuple[str, bool], ...]]:
    """A class's name, and of each part whether its order says something."""
    ordered = IN_ORDER.get(kind.__name__, set())
    names = [one.name for one in fields(kind)]
    if kind is Problem:
        names.remove("name")
    return kind.__name__, tuple((name, name in ordered) for name in names)
