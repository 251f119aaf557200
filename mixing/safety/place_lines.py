"""What stands together in a place against each sum of the set (pure)."""

from __future__ import annotations

from collections.abc import Sequence

from mixing.safety.states import SafetyLine, State, state_of_share
from mixing.safety.storage import (
    NOT_FLAMMABLE,
    ContainerKind,
    Location,
    Place,
    SizeRule,
    StockContainer,
    StorageRules,
    SumRule,
    held_l,
)
from shopapp.figures import computed, given
from shopapp.say import say

_WITHIN = "{place}: {total} of {limit} (category {categories})."
_SUMS = {
    State.OK: _WITHIN,
    State.WATCH: _WITHIN,
    State.OVER: "{place}: {total} is more than {limit} (category {categories}). Move "
    "some out.",
    State.NOT_ASSESSED: "{place}: sum of category {categories} not assessed, {total} "
    "of {limit} known.",
}
_NO_SUM = "{place}: {total}, no limit in these rules (category {categories})."
_NO_LIMIT = "{place}: {total} (category {categories}), not assessed without a limit."
_OFFICIAL = "limit entered by the shop"


def place_lines(
    containers: Sequence[StockContainer], rules: StorageRules
) -> list[SafetyLine]:
    places: dict[Location, list[StockContainer]] = {}
    containers = [each for each in containers if not each.is_in_use]
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
            if value_of(c, field) is None
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
    outside = location.place is Place.OUTSIDE
    tanks = _tanks(held, rules) if outside else []
    loose = [c for c in held if c not in tanks]
    lines = [
        _sum_line(location, rule, loose, rules, missing)
        for rule in rules.sums
        if rule.place == location.place.value
    ]
    lines += [
        _sum_line(location, rule, [tank], rules, missing)
        for rule in rules.sums
        for tank in tanks
        if rule.place == "tank"
    ]
    return lines + _without_rule(location, loose, rules)


def _tanks(held: Sequence[StockContainer], rules: StorageRules) -> list[StockContainer]:
    """Tanks that the set has a limit for; others count among the containers."""
    counted = {
        c for rule in rules.sums if rule.place == "tank" for c in rule.categories
    }
    return [
        container
        for container in held
        if container.kind is ContainerKind.PORTABLE_TANK
        and (container.category is None or container.category in counted)
    ]


def _without_rule(
    location: Location, held: Sequence[StockContainer], rules: StorageRules
) -> list[SafetyLine]:
    """Categories that stand here and that no sum of the set counts."""
    place = location.place.value
    counted = {c for rule in rules.sums if rule.place == place for c in rule.categories}
    found = {c.category for c in held if c.category is not None} - counted
    return [
        SafetyLine(
            key=f"place:{location.name}:{category}",
            section="storage",
            state=State.NOT_ASSESSED,
            sentence=say(
                "{place}: sum of category {categories} not assessed.",
                place=location.name,
                categories=str(category),
            ),
            source="sum limit",
            missing=(f"rules.sum:{place}:{category}",),
            rules=rules.named,
        )
        for category in sorted(found)
    ]


def _sum_line(
    location: Location,
    rule: SumRule,
    held: Sequence[StockContainer],
    rules: StorageRules,
    missing: Sequence[str],
) -> SafetyLine:
    total = computed(
        held_l,
        "l",
        None,
        tuple((c.name, c.size_l) for c in held),
        containers=held,
        categories=rule.categories,
    )
    tank = f":{held[0].name}" if rule.place == "tank" else ""
    categories = " + ".join(str(c) for c in sorted(rule.categories))
    unsaid = (f"rules.{rule.key}",) if rule.applies and rule.max_l is None else ()
    state, pattern = _sum_finding(rule, total.value, bool(missing or unsaid))
    limit = given(rule.max_l or 0.0, "l", rule.paragraph)
    return SafetyLine(
        key=f"place:{location.name}:{categories.replace(' + ', '+')}{tank}",
        section="storage",
        state=state,
        sentence=say(
            pattern,
            place=location.name,
            total=total,
            limit=limit,
            categories=categories,
        ),
        figures=(total, limit) if rule.max_l is not None else (total,),
        basis=say("Containers counted as full."),
        source=origin(rule) or "sum limit",
        missing=(*missing, *unsaid) if rule.applies else (),
        rules="" if rule.paragraph == _OFFICIAL else rules.named,
    )


def _sum_finding(rule: SumRule, litres: float, lacks: bool) -> tuple[State, str]:
    if not rule.applies:
        return State.OK, _NO_SUM
    if rule.max_l is None:
        return State.NOT_ASSESSED, _NO_LIMIT
    state = state_of_share(share=litres / rule.max_l)
    if lacks and state is not State.OVER:
        state = State.NOT_ASSESSED
    return state, _SUMS[state]


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
        paragraph=_OFFICIAL,
        source=source,
    )
    return _sum_line(location, rule, held, rules, missing)


def origin(rule: SizeRule | SumRule) -> str:
    return "; ".join(part for part in (rule.paragraph, rule.source) if part)


def value_of(container: StockContainer, field: str) -> object:
    return {
        "category": container.category,
        "size": container.size_l,
        "kind": container.kind,
        "location": container.location,
    }[field]
