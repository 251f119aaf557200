"""Each container and each place of the stock against its limit (pure)."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from mixing.safety.states import (
    PAGE_LOCAL_CODE,
    PAGE_STOCK,
    MissingInput,
    SafetyLine,
    State,
    state_of_share,
    worst,
)
from mixing.safety.storage import (
    L_PER_US_GAL,
    NOT_FLAMMABLE,
    ContainerKind,
    Location,
    Place,
    StockContainer,
    StorageRules,
    SumRule,
    held_l,
    size_rule,
)
from shopapp.figures import Figure, given
from shopapp.say import Say, say

_EXACT = 1 + 1e-6
_WITHIN = "{place}: {total} of {limit} (category {categories})."
_SUMS = {
    State.OK: _WITHIN,
    State.WATCH: _WITHIN,
    State.OVER: "{place}: {total} is more than {limit} (category {categories}). Move "
    "some out.",
    State.NOT_ASSESSED: "{place}: sum of category {categories} not assessed, {total} "
    "of {limit} known.",
}
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
    'OK'
    """
    names = [container.name for container in containers]
    if twice := {name for name in names if names.count(name) > 1}:
        raise ValueError(
            f"Two stock containers are called {sorted(twice)[0]}. Give each its own "
            "name on the stock shelf."
        )
    lines = [_size_line(container, rules) for container in containers]
    lines += _place_lines(containers, rules)
    if not lines:
        lines = [_nothing_held()]
    return StockCheck(
        lines=tuple(lines),
        to_enter=tuple(_to_enter(containers, rules)),
        state=worst(line.state for line in lines),
    )


def _nothing_held() -> SafetyLine:
    return SafetyLine(
        key="stock",
        section="storage",
        state=State.OK,
        sentence=say("No liquid is in stock."),
        source="stock shelf",
    )


def _size_line(container: StockContainer, rules: StorageRules) -> SafetyLine:
    key = f"size:{container.name}"
    missing = tuple(
        f"stock.{container.name}.{field}"
        for field in ("category", "size", "kind")
        if _value(container, field) is None
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
    assert container.size_l is not None
    rule = size_rule(kind=container.kind, category=container.category, rules=rules)
    size = given(container.size_l, "l", f"container {container.name}")
    limit = given(rule.max_l, "l", rule.paragraph)
    state, sentence, source = _size_finding(container, rule.max_l, size, limit)
    return SafetyLine(
        key=key,
        section="storage",
        state=state,
        sentence=sentence,
        figures=(size, limit),
        basis=say("Category {category}.", category=container.category),
        source=source or f"{rule.paragraph}; {rule.source}",
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
    container: StockContainer, max_l: float, size: Figure, limit: Figure
) -> tuple[State, Say, str]:
    assert container.size_l is not None
    name = container.name
    if container.size_l <= max_l * _EXACT:
        said = say(
            "{name}: {size} is within {limit}.", name=name, size=size, limit=limit
        )
        return State.OK, said, ""
    plastic = container.kind is ContainerKind.GLASS_OR_PLASTIC
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
    if plastic and container.metal_would_spoil and gallons <= _EXACT:
        said = say(
            "{name}: {size} is above {limit}, but allowed up to a gallon where metal "
            "would spoil the liquid: keep the reason on file.",
            name=name,
            size=size,
            limit=limit,
        )
        return State.WATCH, said, "1910.106(d)(2)(iii)(a)(1)"
    said = say(
        "{name}: {size} is larger than {limit}. Move it to a smaller or metal "
        "container.",
        name=name,
        size=size,
        limit=limit,
    )
    return State.OVER, said, ""


def _place_lines(
    containers: Sequence[StockContainer], rules: StorageRules
) -> list[SafetyLine]:
    places: dict[Location, list[StockContainer]] = {}
    for container in containers:
        if container.location is not None and container.category != NOT_FLAMMABLE:
            places.setdefault(container.location, []).append(container)
    nowhere = [
        f"stock.{c.name}.location"
        for c in containers
        if c.location is None and c.category != NOT_FLAMMABLE
    ]
    lines: list[SafetyLine] = []
    for location, held in places.items():
        missing = nowhere + [
            f"stock.{c.name}.{field}"
            for c in held
            for field in ("category", "size")
            if _value(c, field) is None
        ]
        if location.place is Place.ROOM:
            lines.append(_room_line(location, held, rules, missing))
        else:
            lines.extend(_sum_lines(location, held, rules, missing))
    if nowhere and not lines:
        lines.append(_nowhere_line(nowhere))
    return lines


def _nowhere_line(nowhere: list[str]) -> SafetyLine:
    return SafetyLine(
        key="place",
        section="storage",
        state=State.NOT_ASSESSED,
        sentence=say("Sums by place: not assessed."),
        source="1910.106(d)(3)(i), (e)(2)(ii)(b)",
        missing=tuple(nowhere),
    )


def _sum_lines(
    location: Location,
    held: Sequence[StockContainer],
    rules: StorageRules,
    missing: Sequence[str],
) -> list[SafetyLine]:
    tanks = [c for c in held if c.kind is ContainerKind.PORTABLE_TANK]
    outside = location.place is Place.OUTSIDE
    loose = [c for c in held if c not in tanks] if outside else list(held)
    lines = [
        _sum_line(location, rule, loose, missing)
        for rule in rules.sums
        if rule.place == location.place.value
    ]
    if outside:
        lines += [
            _sum_line(location, rule, [tank], missing)
            for rule in rules.sums
            for tank in tanks
            if rule.place == "tank"
        ]
    return lines


def _sum_line(
    location: Location,
    rule: SumRule,
    held: Sequence[StockContainer],
    missing: Sequence[str],
) -> SafetyLine:
    litres = held_l(containers=held, categories=rule.categories)
    categories = " + ".join(str(c) for c in sorted(rule.categories))
    total = Figure(
        value=litres,
        unit="l",
        made_by="mixing.safety.storage.held_l",
        inputs=tuple((c.name, c.size_l) for c in held),
    )
    limit = given(rule.max_l, "l", rule.paragraph)
    state = state_of_share(share=litres / rule.max_l)
    if missing and state is not State.OVER:
        state = State.NOT_ASSESSED
    tank = f":{held[0].name}" if rule.place == "tank" else ""
    return SafetyLine(
        key=f"place:{location.name}:{categories.replace(' + ', '+')}{tank}",
        section="storage",
        state=state,
        sentence=say(
            _SUMS[state],
            place=location.name,
            total=total,
            limit=limit,
            categories=categories,
        ),
        figures=(total, limit),
        basis=say("Containers counted as full."),
        source=f"{rule.paragraph}; {rule.source}",
        missing=tuple(missing),
    )


def _room_line(
    location: Location,
    held: Sequence[StockContainer],
    rules: StorageRules,
    missing: Sequence[str],
) -> SafetyLine:
    limits = dict(rules.room_limits_l)
    key = f"place:{location.name}"
    source = "1910.106(d)(4); the limit of a room depends on its build"
    if location.name not in limits:
        return SafetyLine(
            key=key,
            section="storage",
            state=State.NOT_ASSESSED,
            sentence=say("Storage room {place}: not assessed.", place=location.name),
            source=source,
            missing=(*missing, f"room.{location.name}"),
        )
    rule = SumRule(
        place=Place.ROOM.value,
        categories=frozenset({1, 2, 3, 4}),
        max_l=limits[location.name],
        paragraph="limit entered by the shop",
        source=source,
    )
    return _sum_line(location, rule, held, missing)


_WHAT = {
    "category": "Flammable category of {name}: section 2 or 9 of its data sheet.",
    "size": "Size of {name}: read it off the container.",
    "kind": "Kind of container of {name}: glass or plastic, metal, safety can, drum.",
    "location": "Location of {name}: cabinet, storage room or fire area.",
}


def _to_enter(
    containers: Sequence[StockContainer], rules: StorageRules
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
        if _value(container, field) is None
    ]
    rooms = {
        c.location.name
        for c in containers
        if c.location is not None and c.location.place is Place.ROOM
    }
    return found + [
        MissingInput(
            key=f"room.{room}",
            sentence=say("What the fire official allows in {room}.", room=room),
            page=PAGE_LOCAL_CODE,
        )
        for room in sorted(rooms - {name for name, _ in rules.room_limits_l})
    ]


def _value(container: StockContainer, field: str) -> object:
    return {
        "category": container.category,
        "size": container.size_l,
        "kind": container.kind,
        "location": container.location,
    }[field]
