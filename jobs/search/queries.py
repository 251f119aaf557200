"""Rows by the keys that they keep: each question walks an index, however many rows."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import Any

from django.db import connection
from django.db.models import Q, QuerySet

from jobs.search.models import SearchKey
from jobs.search.spelling import Asked, beginnings

AFTER_ALL = chr(0x10FFFF)


def rows_with(of: SearchKey.Of, beginning: str) -> QuerySet[Any]:
    """Primary keys of rows that have a key with this beginning.

    Of one beginning alone: two in one question would walk all keys of the kind.
    """
    return SearchKey.objects.filter(_begins(beginning), of=of).values("row")


def in_any(parts: list[QuerySet[Any]]) -> QuerySet[Any]:
    """What stands in one of these."""
    return parts[0].union(*parts[1:]) if len(parts) > 1 else parts[0]


def each_way(
    rows: QuerySet[Any], asked: Asked, pks: Callable[[Iterable[str]], Any]
) -> QuerySet[Any]:
    """Rows that hold every word; or all of them written as one."""
    as_one = rows.filter(pk__in=pks(beginnings(asked.joined)))
    if asked.words in ((), (asked.joined,)):
        return as_one
    for word in asked.words:
        rows = rows.filter(pk__in=pks(beginnings(word)))
    return as_one.order_by().values("pk").union(rows.order_by().values("pk"))


def _begins(text: str) -> Q:
    begins = Q(key__startswith=text)
    if connection.vendor == "sqlite":
        # Its LIKE walks no index, a range does.
        begins &= Q(key__gte=text, key__lt=text + AFTER_ALL)
    return begins
