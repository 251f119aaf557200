"""Numbers that people read, unique while many press at once: "W-26-0007"."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from typing import TypeVar

from django.db import IntegrityError, models, transaction
from django.utils import timezone

from shopapp.frame import Refused
from shopapp.models import the_shop
from shopapp.say import say

M = TypeVar("M", bound=models.Model)
MOST_RIVALS = 20


def numbered(
    make: Callable[[str], M], *, model: type[M], letter: str, at: datetime
) -> M:
    """The row that `make` creates with the next number of its letter and year.

    Two people may press at once: the database lets one of them have the number, and
    the other takes the one after it. An `IntegrityError` that is not about the number
    comes through.
    """
    for _ in range(MOST_RIVALS):
        number = next_number(model, letter=letter, at=at)
        try:
            with transaction.atomic():
                return make(number)
        except IntegrityError:
            if not model._default_manager.filter(number=number).exists():
                raise
    raise Refused(say("Many people press this at the moment. Press once more."))


def next_number(model: type[models.Model], *, letter: str, at: datetime) -> str:
    """The number after the last of the shop's year."""
    year = timezone.localtime(at, the_shop().zone).year
    head = f"{letter}-{year % 100:02d}-"
    # By key and not by text: "W-26-10000" sorts before "W-26-9999".
    newest = model._default_manager.filter(number__startswith=head).order_by("-pk")
    numbers = newest.values_list("number", flat=True)[:MOST_RIVALS]
    last = max((int(number.removeprefix(head)) for number in numbers), default=0)
    return f"{head}{last + 1:04d}"
