"""A customer's account over some days: what stood open, came on, was paid (pure)."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal

from jobs.money.lines import NOTHING


@dataclass(frozen=True, kw_only=True)
class Entry:
    """An invoice, credit note or kept deposit (asked), or a receipt (paid).

    asked  what the customer owes by it; below nothing on a credit note
    paid   what came in by it; below nothing where it was taken back
    """

    at: datetime
    on: date
    number: str
    what: str
    about: str
    asked: Decimal = NOTHING
    paid: Decimal = NOTHING

    @property
    def change(self) -> Decimal:
        """By so much the open sum moves."""
        return self.asked - self.paid


@dataclass(frozen=True, kw_only=True)
class StatementLine:
    """An entry, and what is open after it."""

    entry: Entry
    is_open: Decimal


@dataclass(frozen=True, kw_only=True)
class Statement:
    """An account from a day to a day, both included."""

    opening: Decimal
    lines: tuple[StatementLine, ...]

    @property
    def asked(self) -> Decimal:
        """All that was invoiced, less what was credited."""
        return sum((line.entry.asked for line in self.lines), NOTHING)

    @property
    def paid(self) -> Decimal:
        """All that was paid, less what was taken back."""
        return sum((line.entry.paid for line in self.lines), NOTHING)

    @property
    def closing(self) -> Decimal:
        """What is open at the end."""
        return self.opening + self.asked - self.paid


def open_sum(entries: Iterable[Entry]) -> Decimal:
    """What a customer owes by these entries.

        sum of invoices and kept deposits, less credit notes, less receipts

    entries  all of the account; below nothing: more was paid than asked
    Source: arithmetic.
    """
    return sum((entry.change for entry in entries), NOTHING)


def statement(entries: Iterable[Entry], *, since: date, until: date) -> Statement:
    """The account over some days, its entries in the order they were made.

        closing = opening + asked - paid

    entries       all of the account
    since, until  first and last day
    Raises ValueError where the last day is before the first. Source: arithmetic.
    """
    if until < since:
        raise ValueError("the last day is before the first")
    known = sorted(entries, key=lambda entry: (entry.at, entry.number))
    opening = open_sum(entry for entry in known if entry.on < since)
    lines, running = [], opening
    for entry in known:
        if since <= entry.on <= until:
            running += entry.change
            lines.append(StatementLine(entry=entry, is_open=running))
    return Statement(opening=opening, lines=tuple(lines))
