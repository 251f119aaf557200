"""One name for one problem: equal problems, however listed, have one hash (pure)."""

from __future__ import annotations

from dataclasses import fields, is_dataclass
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
    if isinstance(value, str):
        return repr(str(value))
    if isinstance(value, tuple):
        key = (id(value), is_ordered)
        if key not in known:
            known[key] = _listed(value, known, is_ordered=is_ordered)
        return known[key]
    if is_dataclass(value):
        kind = type(value).__name__
        ordered = IN_ORDER.get(kind, set())
        parts = [
            _canonical(getattr(value, one.name), known, is_ordered=one.name in ordered)
            for one in fields(value)
            if kind != "Problem" or one.name != "name"
        ]
        return f"{kind}({','.join(parts)})"
    return repr(value)


def _listed(value: tuple[object, ...], known: Known, *, is_ordered: bool) -> str:
    texts = [_canonical(each, known) for each in value]
    if not is_ordered and value and not isinstance(value[0], int):
        texts.sort()
    return f"[{','.join(texts)}]"
