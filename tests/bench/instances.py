"""Strip instances from a file; whatever is wrong with one is said in a sentence.

The format is that of `tests/cases/rectangles.json`: `{"instances": [{"id": "C1_1",
"strip_width": 20, "items": [[2, 12], [7, 12]], "rotation": "none", "known": 20}]}`.
`rotation` is "none" (the default) or "quarter"; without `known` the proven bound is
compared with. Items are (across, along).
"""

from __future__ import annotations

import json
from dataclasses import dataclass
from pathlib import Path

READ = {"id", "strip_width", "items", "rotation", "known"}
SAID = {"n", "area", "area_bound", "known_status", "source", "note"}
"""Keys of the format that tell a reader something and the bench nothing."""
TURNS = {"none": "none", "": "none", "quarter": "quarter", "90": "quarter"}


class NotAnInstance(ValueError):  # noqa: N818 - a sentence for whoever wrote the file
    """What is wrong with a file or an instance."""


@dataclass(frozen=True, kw_only=True)
class Instance:
    """One strip and its blanks; `known` is None where no length is known."""

    id: str
    strip_width: int
    items: tuple[tuple[int, int], ...]
    turn: str = "none"
    known: int | None = None


def read_instances(path: Path) -> tuple[list[Instance], list[str]]:
    """The instances that can be run, and a sentence for everything else."""
    try:
        text = path.read_text(encoding="utf-8-sig")
    except FileNotFoundError:
        raise NotAnInstance(f"There is no file {path}.") from None
    except (OSError, UnicodeDecodeError) as error:
        raise NotAnInstance(f"{path} cannot be read as UTF-8 text: {error}.") from None
    try:
        known = json.loads(text)
    except json.JSONDecodeError as error:
        raise NotAnInstance(f"{path} is not JSON: {error}.") from None
    rows = known.get("instances") if isinstance(known, dict) else known
    if not isinstance(rows, list):
        raise NotAnInstance(f'{path} has no list under "instances".')
    if not rows:
        raise NotAnInstance(f"{path} holds no instance.")
    good: list[Instance] = []
    said: list[str] = []
    for at, row in enumerate(rows, 1):
        try:
            instance, remarks = read_instance(row, name=f"instance {at}")
        except NotAnInstance as problem:
            said.append(f"Left out: {problem}")
        else:
            good.append(instance)
            said += remarks
    return good, said


def read_instance(row: object, *, name: str) -> tuple[Instance, list[str]]:
    """One instance and what was passed over in it; NotAnInstance says what is wrong."""
    if not isinstance(row, dict):
        raise NotAnInstance(f"{name} is no object with keys.")
    name = str(row.get("id", name))
    width = _whole(row.get("strip_width"), f"{name}: strip_width")
    items = row.get("items")
    if not isinstance(items, list) or not items:
        raise NotAnInstance(f"{name} has no items.")
    turn = TURNS.get(str(row.get("rotation", "none")))
    if turn is None:
        raise NotAnInstance(
            f'{name}: rotation is "none" or "quarter", not {row["rotation"]!r}.'
        )
    read = tuple(
        _item(item, f"{name}: item {at}", width=width, turn=turn)
        for at, item in enumerate(items, 1)
    )
    known = row.get("known")
    instance = Instance(
        id=name,
        strip_width=width,
        items=read,
        turn=turn,
        known=None if known is None else _whole(known, f"{name}: known"),
    )
    unread = sorted(set(row) - READ - SAID)
    return instance, [f'{name}: "{key}" is not read.' for key in unread]


def _item(item: object, name: str, *, width: int, turn: str) -> tuple[int, int]:
    if not isinstance(item, list | tuple) or len(item) != 2:
        raise NotAnInstance(f"{name} is not a pair of width and length: {item!r}.")
    across, along = _whole(item[0], name), _whole(item[1], name)
    if across > width and (turn == "none" or along > width):
        ways = "as it is only" if turn == "none" else "as it is and turned"
        raise NotAnInstance(
            f"{name}, {across} x {along}, is wider than the strip of {width} ({ways})."
        )
    return across, along


def _whole(value: object, name: str) -> int:
    if isinstance(value, float) and value.is_integer():
        value = int(value)
    if type(value) is not int or value <= 0:
        raise NotAnInstance(f"{name} must be a whole number above 0, not {value!r}.")
    return value
