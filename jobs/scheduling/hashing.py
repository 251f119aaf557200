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


def problem_hash(problem: Problem) -> str:
    """SHA-256 in hex of all that a plan depends on; the problem's name is not in it."""
    return sha256(_canonical(problem).encode()).hexdigest()


def _canonical(value: object, *, is_ordered: bool = False) -> str:
    """The same text for the same meaning."""
    if isinstance(value, str):
        return repr(str(value))
    if isinstance(value, tuple):
        if is_ordered or not value or isinstance(value[0], int):
            return f"[{','.join(map(_in_order, value))}]"
        return f"[{','.join(sorted(map(_canonical, value)))}]"
    if is_dataclass(value):
        kind = type(value).__name__
        ordered = IN_ORDER.get(kind, set())
        parts = [
            _canonical(getattr(value, one.name), is_ordered=one.name in ordered)
            for one in fields(value)
            if kind != "Problem" or one.name != "name"
        ]
        return f"{kind}({','.join(parts)})"
    return repr(value)


def _in_order(value: object) -> str:
    return _canonical(value)
