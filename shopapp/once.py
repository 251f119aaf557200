"""What a page needs more than once is read from the store once.

For rows that stand still while a page is made: the shop, its settings, its lists.
An action remembers nothing: it decides by what stands in the store now, and may
change it. Outside a request nothing is remembered either.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from functools import wraps
from typing import Any, ParamSpec, TypeVar

P = ParamSpec("P")
R = TypeVar("R")

_read: ContextVar[dict[Any, Any] | None] = ContextVar("read", default=None)


def once_a_page(query: Callable[P, R]) -> Callable[P, R]:
    """A query whose answer is the same one as long as a page is made.

    Its arguments are hashable; whoever gets the answer does not change it.
    """

    @wraps(query)
    def read(*args: P.args, **kwargs: P.kwargs) -> R:
        known = _read.get()
        if known is None:
            return query(*args, **kwargs)
        key = (query, args, *kwargs.items())
        if key not in known:
            known[key] = query(*args, **kwargs)
        answer: R = known[key]
        return answer

    return read


@contextmanager
def one_page() -> Iterator[None]:
    """Within, each such query is asked once."""
    token = _read.set({})
    try:
        yield
    finally:
        _read.reset(token)


@contextmanager
def as_it_stands() -> Iterator[None]:
    """Within, each is asked every time; afterwards a page reads all of them anew."""
    token = _read.set(None)
    try:
        yield
    finally:
        _read.reset(token)
        if known := _read.get():
            known.clear()
