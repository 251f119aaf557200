"""Rows by the keys that they keep: each question walks an index, however many rows."""

from __future__ import annotations

from collections.abc import Iterable
from functools import reduce
from operator import or_
from typing import Any

from django.db import connection
from django.db.models import Q, QuerySet

from jobs.search.models import SearchKey

AFTER_ALL = chr(0x10FFFF)


def rows_with(of: SearchKey.Of, beginnings: Iterable[str]) -> QuerySet[Any]:
    """Primary keys of rows that have a key with one of these beginnings."""
    wanted = reduce(or_, map(_begins, beginnings))
    return SearchKey.objects.filter(of=of).filter(wanted).values("row")


def _begins(text: str) -> Q:
    begins = Q(key__startswith=text)
    if connection.vendor == "sqlite":
        # Its LIKE walks no index, a range does.
        begins &= Q(key__gte=text, key__lt=text + AFTER_ALL)
    return begins
