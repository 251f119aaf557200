"""Documents that are stored as JSON and read by code that has changed since (pure).

A document names its version; one that names none is of version 1. Whoever gives a
stored field another name, shape or meaning, or adds one, adds the step that makes the
newest of what is stored. A document is upgraded before it is parsed or compared.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

Json = dict[str, Any]
Step = Callable[[Json], Json]

VERSION = "version"
SAID = ("value", "unit", "low", "high", "note")
"""Of a figure; the rest is how it was made."""


class TooNewError(ValueError):
    """A newer program stored this; guessing what it means would be worse."""


@dataclass(frozen=True, kw_only=True)
class Document:
    """One kind of stored document.

    kind   its name, as people know it
    steps  version to the function that makes the next version of it
    """

    kind: str
    steps: Mapping[int, Step] = field(default_factory=dict)

    @property
    def newest(self) -> int:
        """The version that this program writes."""
        return len(self.steps) + 1

    def stamp(self, document: Json) -> Json:
        """What is stored: version 1 is told by naming none."""
        return {**document, VERSION: self.newest} if self.steps else document

    def upgrade(self, stored: Mapping[str, Any]) -> Json:
        """The document as this version writes it; the stored one is not touched."""
        version = version_of(stored)
        if version > self.newest:
            raise TooNewError(
                f"This {self.kind} was kept by a newer version of the program (its "
                f"form is {version}, this one knows {self.newest}). Start the newer "
                "one to open it."
            )
        if version == self.newest:
            return dict(stored)
        document: Json = _copy(dict(stored))
        for step in range(version, self.newest):
            document = self.steps[step](document)
        return self.stamp(document)


def _copy(value: Any) -> Any:
    """All of it anew, so that a step may change it. JSON needs no `deepcopy`."""
    if isinstance(value, dict):
        return {name: _copy(part) for name, part in value.items()}
    if isinstance(value, list | tuple):
        return [_copy(part) for part in value]
    return value


def version_of(stored: Mapping[str, Any]) -> int:
    """The version that a stored document names."""
    return int(stored.get(VERSION, 1))


def differences(kept: Any, fresh: Any, *, of_both: bool = False) -> list[str]:
    """Where two documents say something different, as "film.taken.0.code".

    What a figure was made by and from counts as little as its number in their list.
    of_both  a field that only one of them has says nothing: their versions differ
    """
    found = _differ(as_said(kept), as_said(fresh), of_both=of_both)
    return [".".join(place) for place in found]


def as_said(document: Any, figures: Sequence[Any] = ()) -> Any:
    """A document with its figures where they stand, as they are read."""
    if isinstance(document, list | tuple):
        return [as_said(each, figures) for each in document]
    if not isinstance(document, Mapping):
        return document
    if set(document) == {"figure"} and figures:
        return as_said(figures[document["figure"]])
    if "made_by" in document:
        return {name: document.get(name) for name in SAID}
    own = document.get("figures", figures)
    rest = {name: part for name, part in document.items() if name != "figures"}
    return {name: as_said(part, own) for name, part in rest.items()}


def _differ(kept: Any, fresh: Any, *, of_both: bool) -> list[tuple[str, ...]]:
    if isinstance(kept, list) and isinstance(fresh, list) and len(kept) == len(fresh):
        kept, fresh = dict(enumerate(kept)), dict(enumerate(fresh))
    if not (isinstance(kept, dict) and isinstance(fresh, dict)):
        return [] if kept == fresh else [()]
    both = kept.keys() & fresh.keys()
    alone = set() if of_both else kept.keys() ^ fresh.keys()
    found: list[tuple[str, ...]] = [(str(name),) for name in alone]
    for name in both:
        inner = _differ(kept[name], fresh[name], of_both=of_both)
        found += [(str(name), *place) for place in inner]
    return sorted(found)
