"""The action frame: what every press of a button goes through.

In one transaction: claim the submission key, lock in fixed order, read the facts,
hear the reasons, write, add one event for each order touched, bump the revision
last. An action is a function `do(act, *, ...)` marked `@action("noun.verb")`;
`perform` runs it. An action that calls another passes its own `act` on.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, time
from decimal import Decimal
from enum import Enum
from functools import wraps
from typing import Any, Concatenate, ParamSpec, Protocol, TypeVar, cast
from uuid import uuid4

from django.core.files.base import File
from django.db import IntegrityError, connection, models, transaction

from shopapp.limits import Within
from shopapp.models import (
    Device,
    HistoryEntry,
    Person,
    Submission,
    the_shop,
)
from shopapp.once import as_it_stands
from shopapp.say import Say, say

Json = dict[str, Any]
P = ParamSpec("P")
M = TypeVar("M", bound=models.Model)


class Refused(Exception):  # noqa: N818 - a refusal is an answer, not a fault
    """The shop's rules say no. Carries sentences that a person can act on.

    `field` names the form field that the sentences belong to, if any.
    """

    def __init__(self, *reasons: Say, field: str = "") -> None:
        super().__init__(*(str(reason) for reason in reasons))
        self.reasons: tuple[Say, ...] = reasons
        self.field = field


class KeyReused(Refused):
    """The key was used for something else, or by somebody else."""


@dataclass(frozen=True, kw_only=True)
class Tap:
    """Who pressed, when, on what. `key` makes a repeated press harmless."""

    key: str
    by: Person | None
    device: Device | None = None
    done_at: datetime
    received_at: datetime
    via: str = HistoryEntry.Via.PAGE

    @classmethod
    def made_by(
        cls, by: Person | None, *, at: datetime, via: str, key: str = ""
    ) -> Tap:
        """A tap that no browser sent: a task, or the demo shop."""
        return cls(key=key or uuid4().hex, by=by, done_at=at, received_at=at, via=via)


@dataclass(frozen=True, kw_only=True)
class Answer:
    """What an action answered; `repeated` when it had been done before."""

    facts: Json
    repeated: bool = False

    def __getitem__(self, name: str) -> Any:
        return self.facts[name]


class HasHistory(Protocol):
    """A row with a history, such as a work order."""

    pk: Any
    events: Any


@dataclass(kw_only=True)
class Act:
    """The running action: its tap, its locks, its events."""

    tap: Tap
    name: str
    _locked: list[tuple[int, int]] = field(default_factory=list)
    _owed: dict[tuple[str, int], models.Model] = field(default_factory=dict)
    _after: list[Callable[[], None]] = field(default_factory=list)

    @property
    def now(self) -> datetime:
        """When it was done (device time, corrected)."""
        return self.tap.done_at

    @property
    def by(self) -> Person:
        """The person who pressed; a customer's tap has none."""
        if self.tap.by is None:
            raise Refused(say("Sign in to do this."))
        return self.tap.by

    def lock(self, model: type[M], pk: int) -> M:
        """Lock one row and return it as it is now."""
        return self.lock_all(model, [pk])[0]

    def lock_all(self, model: type[M], pks: Iterable[int]) -> list[M]:
        """Lock rows of one table in the order of their keys.

        A model says its turn in `lock_rank` (work orders, vessels, containers,
        rolls, off-cuts); taking a lock out of turn is an error of ours, found
        the first time the code runs and not the first time two tablets meet.
        """
        rank: int = model.lock_rank  # type: ignore[attr-defined]
        rows: list[M] = []
        for pk in sorted(set(pks)):
            turn = (rank, pk)
            if turn not in self._locked:
                if self._locked and turn < max(self._locked):
                    raise RuntimeError(
                        f"{model.__name__} {pk} is locked out of turn in {self.name}"
                    )
                self._locked.append(turn)
            try:
                # "No key": rows that point here are checked when their transaction
                # commits, and must not wait for us then; rivals for the row do.
                rows_of = model._default_manager.select_for_update(no_key=True)
                row = rows_of.get(pk=pk)
            except model.DoesNotExist:  # type: ignore[attr-defined]
                raise Refused(
                    say("This {thing} is not there any more.", thing=_noun(model))
                ) from None
            if hasattr(row, "events"):
                self._owed.setdefault((model.__name__, pk), row)
            rows.append(row)
        return rows

    def event(self, row: HasHistory, what: str, /, **facts: Any) -> None:
        """Add a line to the history of a row: ids and facts, never names."""
        row.events.create(
            action=self.name,
            what=what,
            facts=plain(facts),
            by=self.tap.by,
            device=self.tap.device,
            done_at=self.tap.done_at,
            received_at=self.tap.received_at,
            via=self.tap.via,
            submission_key=self.tap.key,
        )
        self._owed.pop((type(row).__name__, row.pk), None)

    def unchanged(self, row: HasHistory) -> None:
        """Say that a locked row was only read."""
        self._owed.pop((type(row).__name__, row.pk), None)

    def after_commit(self, do: Callable[[], None]) -> None:
        """Run `do` once the transaction is committed."""
        self._after.append(do)

    def _finish(self) -> None:
        if self._owed:
            raise RuntimeError(f"{self.name} left no event on {list(self._owed)}")
        for do in self._after:
            transaction.on_commit(do, robust=True)
        # Last, so that the order of numbers is the order of commits. Written out,
        # since every press ends here.
        with connection.cursor() as cursor:
            cursor.execute(
                "UPDATE shopapp_revision SET number = number + 1 WHERE id = 1"
            )


Action = Callable[Concatenate[Act, P], Json | None]
ACTIONS: dict[str, Callable[..., Json | None]] = {}


def action(
    name: str, *, within: Within | None = None
) -> Callable[[Action[P]], Action[P]]:
    """Name an action `noun.verb`; the name is its permission too.

    within  where its numbers can be meant, whoever sends them
    """

    def mark(do: Action[P]) -> Action[P]:
        if name in ACTIONS:
            raise RuntimeError(f"two actions are called {name}")
        marked = _checked(do, within) if within else do
        ACTIONS[name] = marked
        marked.action_name = name  # type: ignore[attr-defined]
        return marked

    return mark


def _checked(do: Action[P], within: Within) -> Action[P]:
    @wraps(do)
    def checked(act: Act, /, *args: P.args, **facts: P.kwargs) -> Json | None:
        refuse_outside(within, facts)
        return do(act, *args, **facts)

    return checked


def refuse_outside(within: Within, facts: Mapping[str, Any]) -> None:
    """Refuse a number that cannot be meant: a form would not have sent it."""
    for name, known in within.items():
        value = facts.get(name)
        if value is None or known.holds(value):
            continue
        if sentence := known.refusal(value, system=the_shop().system):
            raise Refused(sentence, field=name)


def perform(tap: Tap, do: Action[P], /, *args: P.args, **facts: P.kwargs) -> Answer:
    """Run an action once for this key.

    The same key with the same person and content answers as it did the first
    time. With other content or another person it raises `KeyReused`. A `Refused`
    from the action leaves nothing behind, the key included.
    """
    name: str = do.action_name  # type: ignore[attr-defined]
    print_of = fingerprint(name, by=tap.by, facts=facts)
    for again in (True, False):
        try:
            return _run(tap, do, args, facts, name=name, print_of=print_of)
        except IntegrityError:
            if first := Submission.objects.filter(key=tap.key).first():
                return _first_answer(first, print_of=print_of)
            # Somebody else took a code or a number since the action looked. It looks
            # again, and refuses in words or takes the next one.
            if not again:
                raise
    raise AssertionError("the second run answers or raises")


def _run(
    tap: Tap,
    do: Callable[..., Json | None],
    args: tuple[Any, ...],
    facts: Json,
    *,
    name: str,
    print_of: str,
) -> Answer:
    with as_it_stands(), transaction.atomic():
        # A rival with the same key is waited for here, before anything is read.
        claimed = _claim(tap, name=name, print_of=print_of, facts=facts)
        act = Act(tap=tap, name=name)
        if answer := do(act, *args, **facts):
            claimed.answer = plain(answer)
            claimed.save(update_fields=["answer"])
        act._finish()
        return Answer(facts=cast(Json, claimed.answer))


def _claim(
    tap: Tap, *, name: str, print_of: str, facts: Mapping[str, Any]
) -> Submission:
    """Take the key; `IntegrityError` when it has been taken."""
    return Submission.objects.create(
        key=tap.key,
        action=name,
        by=tap.by,
        device=tap.device,
        fingerprint=print_of,
        subject=_subject(facts),
        via=tap.via,
        received_at=tap.received_at,
    )


def _first_answer(first: Submission, *, print_of: str) -> Answer:
    if first.fingerprint != print_of:
        raise KeyReused(
            say(
                "This form was sent before with other content, or by someone else. "
                "Nothing was changed. Record it as a new entry if you mean it."
            )
        )
    return Answer(facts=cast(Json, first.answer), repeated=True)


def fingerprint(name: str, *, by: Person | None, facts: Mapping[str, Any]) -> str:
    """SHA-256 over action, person and cleaned content, files by their bytes."""
    known = [name, by.pk if by else None, plain(dict(facts), files=True)]
    text = json.dumps(known, sort_keys=True, ensure_ascii=False)
    return hashlib.sha256(text.encode()).hexdigest()


def plain(value: Any, *, files: bool = False) -> Any:
    """A value as JSON: rows by key, dates in ISO form in UTC, decimals as text.

    Raises TypeError for anything else, so that no surprise enters a history.
    """
    if value is None or isinstance(value, bool | int | float):
        return value
    if isinstance(value, Enum):
        return value.value
    if isinstance(value, str):
        return str(value)
    if isinstance(value, Decimal):
        return str(value)
    if isinstance(value, datetime):
        return value.astimezone(UTC).isoformat()
    if isinstance(value, date | time):
        return value.isoformat()
    if isinstance(value, models.Model):
        return value.pk
    if isinstance(value, Say):
        return str(value)
    if isinstance(value, Mapping):
        return {str(name): plain(part, files=files) for name, part in value.items()}
    if isinstance(value, set | frozenset):
        return sorted(plain(part, files=files) for part in value)
    if isinstance(value, Sequence | models.QuerySet):
        return [plain(part, files=files) for part in value]
    if files and isinstance(value, File):
        value.seek(0)
        digest = hashlib.file_digest(value.file or value, "sha256").hexdigest()  # type: ignore[arg-type]
        value.seek(0)
        return digest
    if hasattr(value, "to_json"):
        return plain(value.to_json(), files=files)
    if hasattr(value, "__dataclass_fields__"):
        return {
            name: plain(getattr(value, name), files=files)
            for name in value.__dataclass_fields__
        }
    raise TypeError(f"{type(value).__name__} does not belong in a record")


def _subject(facts: Mapping[str, Any]) -> str:
    for name, value in facts.items():
        if name.endswith("_pk") and value is not None:
            return f"{name.removesuffix('_pk')} {value}"
    return ""


def _noun(model: type[models.Model]) -> str:
    return str(model._meta.verbose_name)
