"""Every input of the safety block taken away, found by walking the request itself.

Nothing is listed by hand that could be forgotten: a new field that may be None is taken
away here too, and one with a default must say below why silence is safe.
"""

from __future__ import annotations

import dataclasses
import types
import typing
from datetime import date

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from mixing.safety.block import SafetyBlock, safety_block
from mixing.safety.flammable import Ground
from mixing.safety.labels import CUTOFF_HAZARDS
from mixing.safety.releases import Solvent
from mixing.safety.request import (
    Authorities,
    BayAir,
    PrepUse,
    SafetyRequest,
    SheetOnHand,
    SolutionUse,
)
from mixing.safety.rules import LIMIT_KEYS, Limit, SafetyRules, safety_rules
from mixing.safety.states import State
from mixing.safety.stock_check import stock_check
from mixing.safety.storage import (
    ContainerKind,
    Duty,
    Location,
    Place,
    SizeRule,
    StockContainer,
    StorageRules,
    SumRule,
)

CABINET = Location(place=Place.CABINET, name="cabinet 1")
FLOOR = Location(place=Place.OUTSIDE, name="wash bay")
STORE = Location(place=Place.ROOM, name="store")
RULES = safety_rules(room_limits_l=[("store", 400.0)])


def can(name: str, **changes) -> StockContainer:
    values = {
        "category": 2,
        "size_l": 3.785,
        "kind": ContainerKind.METAL,
        "location": CABINET,
        "listed": None,
    } | changes
    return StockContainer(name=name, **values)


FULL = SafetyRequest(
    solutions=(
        SolutionUse(
            name="tack",
            vv_pct=17.7,
            litres=2.0,
            soap_mass_pct=0.4,
            # Every hazard that a cut-off decides about.
            soap_hazards=CUTOFF_HAZARDS,
            minutes=80.0,
        ),
        SolutionUse(
            name="strong",
            vv_pct=1.0,
            litres=0.1,
            soap_mass_pct=0.1,
            flash_point_c=70.0,
            boiling_point_c=95.0,
            ground=Ground.MEASURED,
        ),
    ),
    prep=(
        PrepUse(
            name="tar remover",
            litres=0.1,
            volatile_pct=90.0,
            solvent=Solvent(
                name="remover solvent",
                specific_gravity=0.75,
                molar_mass_g_per_mol=110.0,
                lel_pct=1.0,
                limit_ppm=300.0,
            ),
            category=3,
            codes=("H226", "H304"),
            flash_point_c=40.0,
            boiling_point_c=150.0,
            minutes=20.0,
        ),
    ),
    bay=BayAir(
        name="bay 1",
        volume_m3=189.0,
        exhaust_m3_per_h=600.0,
        measured_on=date(2026, 3, 1),
        mixing_value=3.0,
        mixing_basis="K",
        method="vane at the grille",
    ),
    limit_ppm=200.0,
    limit_name="TLV",
    session_min=90.0,
    air_c=20.0,
    heat_target_ppm=50.0,
    stock=(
        can("can", category=3, flash_point_c=40.0, boiling_point_c=150.0),
        can("jug", kind=ContainerKind.GLASS_OR_PLASTIC, listed=True),
        can("floor can", location=FLOOR),
        can("store can", location=STORE),
    ),
    authorities=Authorities(
        code="town fire code 2021",
        fire_official="fire marshal",
        sewer="water works",
        rinse_water="soapy rinse water only",
    ),
    today=date(2026, 5, 1),
    rules=RULES,
    sheets=(SheetOnHand(product="alcohol", dated=date(2025, 1, 1), has_file=True),),
)

NONE_SAYS_SOMETHING = {
    (SolutionUse, "flash_point_c"): "not measured: the strength decides",
    (SolutionUse, "boiling_point_c"): "a mix with water boils above 80 C",
    (SolutionUse, "flash_basis"): "a short sentence stands for it",
    (SolutionUse, "minutes"): "evenly over the whole session",
    (SolutionUse, "vv_low_pct"): "no range: the strength itself decides",
    (SolutionUse, "vv_high_pct"): "no range: the strength itself decides",
    (SolutionUse, "product"): "a mix, not a product used as it comes",
    (PrepUse, "alcohol_pct"): "its category decides",
    (PrepUse, "codes"): "said as not read, WATCH",
    (SafetyRequest, "own_short_limit_ppm"): "the one beside the 8-hour limit",
    (PrepUse, "flash_point_c"): "the category was entered and stands",
    (PrepUse, "boiling_point_c"): "the category was entered and stands",
    (PrepUse, "minutes"): "evenly over the whole session",
    (SafetyRequest, "surface_c"): "one more caution; a reading is asked for",
    (StockContainer, "flash_point_c"): "the category was entered and stands",
    (StockContainer, "boiling_point_c"): "the category was entered and stands",
    (StorageRules, "version"): "the shipped example",
}
"""None is an answer here, not something that nobody entered."""

SILENCE_IS_SAFE = {
    (SolutionUse, "soap_mass_pct"): "no soap; the sheet always fills it in",
    (SolutionUse, "soap_hazards"): "asked for as soon as there is soap: None",
    (SolutionUse, "flash_point_c"): "the strength decides",
    (SolutionUse, "boiling_point_c"): "a mix with water boils above 80 C",
    (SolutionUse, "ground"): "a flash point without its ground is refused",
    (SolutionUse, "flash_basis"): "a short sentence stands for it",
    (SolutionUse, "start_min"): "from the first minute: the longest stay",
    (SolutionUse, "minutes"): "evenly over the session",
    (SolutionUse, "vv_low_pct"): "no range: the strength itself decides",
    (SolutionUse, "vv_high_pct"): "no range: the strength itself decides",
    (SolutionUse, "product"): "a mix, not a product used as it comes",
    (SolutionUse, "left_out"): "the caller reads them off the soap's sheet",
    (PrepUse, "codes"): "None: said as not read",
    (PrepUse, "alcohol_pct"): "its category decides",
    (PrepUse, "flash_point_c"): "the category decides",
    (PrepUse, "boiling_point_c"): "the category decides",
    (PrepUse, "start_min"): "from the first minute: the longest stay",
    (PrepUse, "minutes"): "evenly over the session",
    (PrepUse, "usual"): "a word only: where the amount comes from",
    (Solvent, "limit_ppm"): "None: asked for",
    (BayAir, "method"): "printed as not stated",
    (BayAir, "loss_per_h"): "no loss: the most vapour",
    (Authorities, "code"): "None: asked for",
    (Authorities, "fire_official"): "None: asked for",
    (Authorities, "sewer"): "None: asked for",
    (Authorities, "rinse_water"): "None: asked for",
    (SheetOnHand, "is_read"): "not read: the line is not assessed",
    (SheetOnHand, "is_old"): "computed from its date by the caller",
    (SafetyRequest, "limit_name"): "a name only",
    (SafetyRequest, "own_short_limit_ppm"): "the one beside the 8-hour limit",
    (SafetyRequest, "has_hot_tools"): "the more cautions",
    (SafetyRequest, "flow_valid_days"): "a year, a shop setting",
    (SafetyRequest, "rules"): "the example, named as an example in its lines",
    (SafetyRequest, "sheets"): "no products: no line; None: asked for",
    (SafetyRequest, "height_m"): "sea level, and said",
    (SafetyRequest, "surface_c"): "one more caution; a reading is asked for",
    (SafetyRequest, "lacks_remover"): "the prep list is asked for itself",
    (StockContainer, "flash_point_c"): "the category decides",
    (StockContainer, "boiling_point_c"): "the category decides",
    (StockContainer, "listed"): "not listed: the stricter table holds",
    (StockContainer, "is_glass"): "plastic: the row is the same, listed or not is said",
    (StockContainer, "is_in_use"): "it counts in every sum of its place",
    (StockContainer, "metal_would_spoil"): "no: the stricter table holds",
    (StockContainer, "count"): "one row, one container",
    (SizeRule, "paragraph"): "a name only",
    (SizeRule, "source"): "a name only",
    (SizeRule, "dated"): "a name only",
    (SizeRule, "applies"): "applies: its limit is asked for",
    (SumRule, "paragraph"): "a name only",
    (SumRule, "source"): "a name only",
    (SumRule, "dated"): "a name only",
    (SumRule, "applies"): "applies: its limit is asked for",
    (Limit, "applies"): "applies: its limit is asked for",
    (Limit, "paragraph"): "a name only",
    (Limit, "source"): "a name only",
    (Limit, "dated"): "a name only",
    (StorageRules, "duties"): "a set that was entered has a row for each, empty or not",
    (Duty, "categories"): "all: it always holds",
    (Duty, "paragraph"): "a name only",
    (Duty, "source"): "a name only",
    (Duty, "dated"): "a name only",
    (Duty, "applies"): "applies: its line is asked for",
    (StorageRules, "room_limits_l"): "none: asked for, room by room",
    (StorageRules, "version"): "the shipped example",
}
"""Fields with a default, and why nobody is harmed when they are left alone."""

PARTS = (
    *(SolutionUse, PrepUse, Solvent, BayAir, Authorities, SheetOnHand),
    *(SafetyRequest, StockContainer, Location),
    *(SizeRule, SumRule, Limit, Duty, SafetyRules, StorageRules),
)
Path = tuple[str | int, ...]


def may_be_none(kind: type, name: str) -> bool:
    hint = typing.get_type_hints(kind)[name]
    union = typing.get_origin(hint) in (types.UnionType, typing.Union)
    return union and type(None) in typing.get_args(hint)


def inputs_of(part: object, at: Path = ()) -> list[tuple[Path, type, str]]:
    """Every field that is filled in and may be None, with the way to it."""
    found: list[tuple[Path, type, str]] = []
    if isinstance(part, tuple):
        for number, each in enumerate(part):
            found += inputs_of(each, (*at, number))
    elif dataclasses.is_dataclass(part):
        for field in dataclasses.fields(part):
            value, way = getattr(part, field.name), (*at, field.name)
            if value is not None and may_be_none(type(part), field.name):
                found.append((way, type(part), field.name))
            found += inputs_of(value, way)
    return found


def without(part, way: Path):
    """The same with None at the end of the way."""
    if not way:
        return None
    here, *rest = way
    if isinstance(part, tuple):
        return tuple(
            without(each, tuple(rest)) if number == here else each
            for number, each in enumerate(part)
        )
    return dataclasses.replace(
        part, **{here: without(getattr(part, here), tuple(rest))}
    )


def reachable(part, way: Path) -> bool:
    for step in way:
        if part is None:
            return False
        part = part[step] if isinstance(part, tuple) else getattr(part, step)
    return part is not None


def all_lines(block: SafetyBlock):
    return {line.key: line for line in (block.fire_line, *block.lines)}


def assert_honest(base: SafetyBlock, less: SafetyBlock, *, taken: str) -> None:
    before, after = all_lines(base), all_lines(less)
    held = {key for key, x in after.items() if x.state is State.NOT_ASSESSED}
    asked = {need.key: need for need in less.to_enter}
    assert held, f"{taken}: nothing is held up"
    assert less.state in (State.NOT_ASSESSED, State.OVER), taken
    for section, state in less.totals:
        in_section = {x.section for x in less.lines if x.key in held}
        if section in in_section:
            assert state in (State.NOT_ASSESSED, State.OVER), taken
    for key in held:
        assert after[key].missing, f"{taken}: {key} names nothing to enter"
        assert set(after[key].missing) <= set(asked), f"{taken}: {key}"
    for need in asked.values():
        assert need.lines, taken
        assert need.page, taken
    for key, line in after.items():
        if key in before and key not in held and key != "fire":
            known = {State.NOT_ASSESSED, State.OVER}
            unchanged = line.state is before[key].state
            assert unchanged or line.state in known, f"{taken}: {key}"


EVERY = inputs_of(FULL)
ASKED = [each for each in EVERY if each[1:] not in NONE_SAYS_SOMETHING]
OF_THE_JOB = [each for each in ASKED if each[0][0] != "rules"]


def test_the_full_request_is_wholly_assessed():
    block = safety_block(FULL)
    assert block.to_enter == ()
    assert all(x.state is not State.NOT_ASSESSED for x in all_lines(block).values())


@pytest.mark.parametrize("kind", PARTS, ids=lambda kind: kind.__name__)
def test_every_field_that_may_be_none_is_filled_in_above(kind):
    filled = {name for _, owner, name in EVERY if owner is kind}
    nullable = {
        field.name
        for field in dataclasses.fields(kind)
        if may_be_none(kind, field.name)
    }
    silent = {name for owner, name in NONE_SAYS_SOMETHING if owner is kind}
    assert nullable - filled <= silent
    assert silent <= nullable


@pytest.mark.parametrize("kind", PARTS, ids=lambda kind: kind.__name__)
def test_every_default_says_why_silence_is_safe(kind):
    defaults = {
        field.name
        for field in dataclasses.fields(kind)
        if field.default is not dataclasses.MISSING
        or field.default_factory is not dataclasses.MISSING
    }
    assert defaults == {name for owner, name in SILENCE_IS_SAFE if owner is kind}


def test_every_part_of_the_request_is_walked():
    def kinds(part: object) -> set[type]:
        if isinstance(part, tuple):
            return {kind for each in part for kind in kinds(each)}
        if not dataclasses.is_dataclass(part):
            return set()
        values = [getattr(part, field.name) for field in dataclasses.fields(part)]
        return {type(part)} | kinds(tuple(values))

    assert {kind.__name__ for kind in kinds(FULL)} == {kind.__name__ for kind in PARTS}


@pytest.mark.parametrize(
    "way", [way for way, _, _ in OF_THE_JOB], ids=lambda way: ".".join(map(str, way))
)
def test_an_input_taken_away_holds_up_its_lines_and_no_other(way):
    less = safety_block(without(FULL, way))
    assert_honest(safety_block(FULL), less, taken=str(way))
    assert len(less.to_enter) == 1 or way == ("bay",)


@pytest.mark.parametrize(
    "way",
    [way for way, kind, name in EVERY if (kind, name) in NONE_SAYS_SOMETHING],
    ids=lambda way: ".".join(map(str, way)),
)
def test_where_none_is_an_answer_nothing_is_asked(way):
    request = FULL
    if way[-1] == "flash_point_c" and way[0] == "solutions":
        # Its ground goes with it.
        strong = dataclasses.replace(
            FULL.solutions[1],
            flash_point_c=None,
            boiling_point_c=None,
            ground=Ground.STRENGTH,
        )
        request = dataclasses.replace(FULL, solutions=(FULL.solutions[0], strong))
    else:
        request = without(FULL, way)
    assert safety_block(request).to_enter == ()


@pytest.mark.parametrize("key", LIMIT_KEYS)
def test_a_single_limit_of_the_rules_taken_away(key):
    number = next(n for n, limit in enumerate(RULES.limits) if limit.key == key)
    less = safety_block(without(FULL, ("rules", "limits", number, "value")))
    assert_honest(safety_block(FULL), less, taken=key)
    assert [need.key for need in less.to_enter] == [f"rules.{key}"]


@pytest.mark.parametrize("rule", RULES.storage.sizes, ids=lambda rule: rule.key)
def test_a_row_of_the_size_table_taken_away(rule):
    held = can(
        "can",
        kind=rule.kind,
        category=rule.category,
        size_l=0.4,
    )
    number = RULES.storage.sizes.index(rule)
    less = without(RULES.storage, ("sizes", number, "max_l"))
    found = stock_check(containers=[held], rules=less)
    assert {x.key for x in found.lines if x.state is State.NOT_ASSESSED} == {"size:can"}
    assert [need.key for need in found.to_enter] == [f"rules.{rule.key}"]
    assert found.state is State.NOT_ASSESSED
    assert stock_check(containers=[held], rules=RULES.storage).state is State.OK


@pytest.mark.parametrize("rule", RULES.storage.sums, ids=lambda rule: rule.key)
def test_a_row_of_the_sum_table_taken_away(rule):
    is_tank = rule.place == "tank"
    held = can(
        "can",
        kind=ContainerKind.PORTABLE_TANK if is_tank else ContainerKind.DRUM,
        category=min(rule.categories),
        location=CABINET if rule.place == "cabinet" else FLOOR,
    )
    number = RULES.storage.sums.index(rule)
    less = without(RULES.storage, ("sums", number, "max_l"))
    found = stock_check(containers=[held], rules=less)
    asked = [x for x in found.lines if x.state is State.NOT_ASSESSED]
    assert [x.missing for x in asked] == [(f"rules.{rule.key}",)]
    assert found.state is State.NOT_ASSESSED
    assert stock_check(containers=[held], rules=RULES.storage).state is State.OK


def test_the_officials_figure_of_a_storage_room_taken_away():
    storage = dataclasses.replace(RULES.storage, room_limits_l=())
    rules = dataclasses.replace(RULES, storage=storage)
    less = safety_block(dataclasses.replace(FULL, rules=rules))
    assert_honest(safety_block(FULL), less, taken="room limit")
    assert [need.key for need in less.to_enter] == ["room.store"]


def test_words_that_are_only_blanks_are_no_answer():
    for name in ("code", "fire_official", "sewer", "rinse_water"):
        local = dataclasses.replace(FULL.authorities, **{name: "  "})
        less = safety_block(dataclasses.replace(FULL, authorities=local))
        assert [need.key for need in less.to_enter] == [f"local.{name}"]


@settings(deadline=None, max_examples=150)
@given(st.lists(st.sampled_from([way for way, _, _ in ASKED]), min_size=1, max_size=8))
def test_however_many_are_taken_away_nothing_reads_ok(ways):
    less = FULL
    for way in ways:
        if reachable(less, way):
            less = without(less, way)
    block = safety_block(less)
    unused = all(way[:2] in (("rules", "storage"),) for way in ways)
    if unused and not block.to_enter:
        return  # Rows of the tables that nothing on this shelf needs.
    assert_honest(safety_block(FULL), block, taken=str(ways))
