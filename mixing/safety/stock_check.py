"""Each container and each place of the stock against its limit (pure)."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from mixing.safety.place_lines import origin, place_lines, value_of
from mixing.safety.sources import named_openly
from mixing.safety.states import (
    PAGE_RULES,
    PAGE_STOCK,
    MissingInput,
    SafetyLine,
    State,
    worst,
)
from mixing.safety.storage import (
    L_PER_US_GAL,
    NOT_FLAMMABLE,
    ContainerKind,
    Place,
    SizeRule,
    StockContainer,
    StorageRules,
    size_rule,
)
from shopapp.figures import Figure, given
from shopapp.say import Say, say

_EXACT = 1 + 1e-6
_NO_RULE = "29 CFR 1910.106(d)(2)(iii)"


@dataclass(frozen=True, kw_only=True)
class StockCheck:
    """Lines by container (size) and by place (sum), what is missing, and the total."""

    lines: tuple[SafetyLine, ...]
    to_enter: tuple[MissingInput, ...]
    state: State


def stock_check(
    *, containers: Sequence[StockContainer], rules: StorageRules
) -> StockCheck:
    """The stock against container sizes and the sums of each place.

        container size <= size rule;  sum over a place <= each sum rule

    containers  everything on the shelf
    rules       the set the shop goes by
    Not for:    maximum quantities per control area: ask the fire official.
    Source:     29 CFR 1910.106(d)(2)(iii), (d)(3)(i), (e)(2)(ii)(b)

    >>> from mixing.safety.storage import storage_rules
    >>> str(stock_check(containers=[], rules=storage_rules()).state)
    'NOT ASSESSED'
    """
    names = [container.name for container in containers]
    if twice := {name for name in names if names.count(name) > 1}:
        raise ValueError(
            f"Two stock containers are called {sorted(twice)[0]}. Give each its own "
            "name on the stock shelf."
        )
    lines = _in_use_as_one([(each, _size_line(each, rules)) for each in containers])
    lines += place_lines(containers, rules)
    if not lines:
        lines = [_nothing_held()]
    return StockCheck(
        lines=named_openly(lines, is_example=rules.is_example),
        to_enter=tuple(_to_enter(containers, rules, lines)),
        state=worst(line.state for line in lines),
    )


def _in_use_as_one(
    sized: Sequence[tuple[StockContainer, SafetyLine]],
) -> list[SafetyLine]:
    """Bottles and sprayers that are small enough are one line."""
    fine = [
        line
        for container, line in sized
        if container.is_in_use and line.state is State.OK
    ]
    lines = [line for _, line in sized if line not in fine]
    if fine:
        names = ", ".join(line.key.removeprefix("size:") for line in fine)
        said = say("Bottles and sprayers within their sizes: {names}.", names=names)
        lines.append(
            replace(fine[0], key="size:in use", sentence=said, figures=(), basis=None)
        )
    return lines


def _nothing_held() -> SafetyLine:
    return SafetyLine(
        key="stock",
        section="storage",
        # Nothing was looked at: that is no pass.
        state=None,
        sentence=say("No liquid is entered as stock."),
        source="stock shelf",
    )


def _size_line(container: StockContainer, rules: StorageRules) -> SafetyLine:
    key = f"size:{container.name}"
    missing = tuple(
        f"stock.{container.name}.{field}"
        for field in ("category", "size", "kind")
        if value_of(container, field) is None
    )
    if container.category == NOT_FLAMMABLE:
        said = say(
            "{name}: not a flammable liquid, no size limit.", name=container.name
        )
        return _unmeasured(key, State.OK, said, ())
    if missing:
        said = say("{name}: size not assessed.", name=container.name)
        return _unmeasured(key, State.NOT_ASSESSED, said, missing)
    assert container.kind is not None
    assert container.category is not None
    rule = size_rule(kind=container.kind, category=container.category, rules=rules)
    if rule is not None and not rule.applies:
        said = say("{name}: no size limit in these rules.", name=container.name)
        found = _unmeasured(key, State.OK, said, ())
        return replace(found, source=origin(rule), rules=rules.named)
    if rule is None or rule.max_l is None:
        said = say("{name}: size not assessed.", name=container.name)
        need = f"rules.size:{container.kind}:{container.category}"
        found = _unmeasured(key, State.NOT_ASSESSED, said, (need,))
        return replace(found, source="size limit", rules=rules.named)
    if _hangs_on_listing(container, rule.max_l, rules):
        said = say(
            "{name}: larger than {limit}; not assessed without its approval.",
            name=container.name,
            limit=given(rule.max_l, "l", rule.paragraph),
        )
        need = f"stock.{container.name}.approval"
        found = _unmeasured(key, State.NOT_ASSESSED, said, (need,))
        return replace(found, rules=rules.named)
    return _held_to(container, rule, rule.max_l, rules)


def _hangs_on_listing(
    container: StockContainer, max_l: float, rules: StorageRules
) -> bool:
    """Whether an approval that nobody looked for would decide."""
    return (
        rules.is_example
        and container.listed is None
        and _is_plastic(container)
        and (container.size_l or 0.0) > max_l * _EXACT
        and (container.size_l or 0.0) <= 5 * L_PER_US_GAL * _EXACT
    )


def _held_to(
    container: StockContainer, rule: SizeRule, max_l: float, rules: StorageRules
) -> SafetyLine:
    key = f"size:{container.name}"
    size = given(container.size_l or 0.0, "l", f"container {container.name}")
    limit = given(max_l, "l", rule.paragraph)
    state, sentence, source = _size_finding(container, max_l, size, limit, rules)
    return SafetyLine(
        key=key,
        section="storage",
        state=state,
        sentence=sentence,
        figures=(size, limit),
        basis=say("Category {category}.", category=rule.category),
        source=source or origin(rule),
        rules=rules.named,
    )


def _unmeasured(
    key: str, state: State, sentence: Say, missing: tuple[str, ...]
) -> SafetyLine:
    return SafetyLine(
        key=key,
        section="storage",
        state=state,
        sentence=sentence,
        source=_NO_RULE,
        missing=missing,
    )


def _size_finding(
    container: StockContainer,
    max_l: float,
    size: Figure,
    limit: Figure,
    rules: StorageRules,
) -> tuple[State, Say, str]:
    assert container.size_l is not None
    name = container.name
    if container.size_l <= max_l * _EXACT:
        said = say(
            "{name}: {size} is within {limit}.", name=name, size=size, limit=limit
        )
        return State.OK, said, ""
    # Exceptions of the federal text; another set's own text decides for itself.
    row = rules.is_example and container.kind is ContainerKind.GLASS_OR_PLASTIC
    plastic = row and _is_plastic(container)
    gallons = container.size_l / L_PER_US_GAL
    if plastic and container.listed and gallons <= 5 * _EXACT:
        said = say(
            "{name}: {size} is above {limit}; larger listed plastic has been accepted, "
            "ask the fire official.",
            name=name,
            size=size,
            limit=limit,
        )
        return State.WATCH, said, "1910.106(d)(2)(iii); OSHA letter of December 1997"
    if row and container.metal_would_spoil and gallons <= _EXACT:
        said = say(
            "{name}: {size} is above {limit}, but allowed up to a gallon where metal "
            "would spoil the liquid: keep the reason on file.",
            name=name,
            size=size,
            limit=limit,
        )
        return State.WATCH, said, "1910.106(d)(2)(iii)(a)(1)"
    made = "glass" if container.is_glass else "plastic" if row else ""
    pattern = (
        "{name}: {size} is larger than {limit} for {made}. Move it to a smaller or "
        "metal container."
        if made
        else "{name}: {size} is larger than {limit}. Move it to a smaller or metal "
        "container."
    )
    said = say(pattern, name=name, size=size, limit=limit, made=made)
    return State.OVER, said, ""


def _is_plastic(container: StockContainer) -> bool:
    """Plastic, of which larger listed ones have been accepted; glass never."""
    return container.kind is ContainerKind.GLASS_OR_PLASTIC and not container.is_glass


def _of_approval_or_rule(key: str) -> MissingInput | None:
    """An approval, or a limit of the set, that a line asks for."""
    owner, *parts = key.split(".", 1)
    if owner == "stock" and key.endswith(".approval"):
        name = parts[0].removesuffix(".approval")
        said = say("Approval on {name}: transport mark or listing.", name=name)
        return MissingInput(key=key, sentence=said, page=PAGE_STOCK)
    if owner != "rules":
        return None
    group, what, categories = parts[0].split(":", 2)
    pattern = {
        "size": "Largest {what} container of category {categories}.",
        "sum": "Most in one place ({what}) of category {categories}.",
    }[group]
    said = say(pattern, what=what.replace("_", " "), categories=categories)
    return MissingInput(key=key, sentence=said, page=PAGE_RULES)


_WHAT = {
    "category": "Flammable category of {name}: section 2 or 9 of its data sheet.",
    "size": "Size of {name}: read it off the container.",
    "kind": "Kind of container of {name}: glass or plastic, metal, safety can, drum.",
    "location": "Location of {name}: cabinet, storage room or fire area.",
}


def _to_enter(
    containers: Sequence[StockContainer],
    rules: StorageRules,
    lines: Sequence[SafetyLine],
) -> list[MissingInput]:
    found = [
        MissingInput(
            key=f"stock.{container.name}.{field}",
            sentence=say(what, name=container.name),
            page=PAGE_STOCK,
        )
        for container in containers
        if container.category != NOT_FLAMMABLE
        for field, what in _WHAT.items()
        if value_of(container, field) is None
        and not (container.is_in_use and field == "location")
    ]
    asked = dict.fromkeys(key for line in lines for key in line.missing)
    found += [need for key in asked if (need := _of_approval_or_rule(key))]
    rooms = {
        c.location.name
        for c in containers
        if c.location is not None and c.location.place is Place.ROOM
    }
    return found + [
        MissingInput(
            key=f"room.{room}",
            sentence=say("What the fire official allows in {room}.", room=room),
            page=PAGE_STOCK,
        )
        for room in sorted(rooms - {name for name, _ in rules.room_limits_l})
    ]
