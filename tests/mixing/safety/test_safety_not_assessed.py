"""What is not entered: exactly its lines are not assessed, and nothing reads OK."""

from __future__ import annotations

from datetime import date

import pytest

from mixing.safety.block import safety_block
from mixing.safety.request import (
    Authorities,
    SheetOnHand,
)
from mixing.safety.rule_rows import SLOTS
from mixing.safety.rules import entered_rules, safety_rules
from mixing.safety.states import State
from mixing.safety.storage import ContainerKind
from tests.mixing.safety.safety_job import (
    BAY,
    CAN,
    HOT_MIX,
    LOCAL,
    REMOVER,
    REMOVER_USE,
    SLIP,
    TACK,
    changed,
    request,
    tack_only,
    without_limit,
    without_row,
)

BOX = {"peak", "short", "average", "wait", "fire"}
VAPOUR = BOX | {"air_need", "fire_need"}
SUMS = {"place:cabinet 1:1+2+3", "place:cabinet 1:1+2+3+4"}

TAKEN_AWAY = {
    "strength": (
        {"solutions": (SLIP, changed(TACK, vv_pct=None))},
        "solution.tack.strength",
        VAPOUR | {"class:tack", "label:tack", "waste:tack"},
    ),
    "litres": (
        {"solutions": (SLIP, changed(TACK, litres=None))},
        "solution.tack.litres",
        VAPOUR,
    ),
    "soap class": (
        {"solutions": (SLIP, changed(TACK, soap_hazards=None))},
        "solution.tack.soap",
        {"label:tack"},
    ),
    "prep chemicals": ({"prep": None}, "order.prep", VAPOUR | {"waste:prep"}),
    "prep litres": (
        {"prep": (changed(REMOVER_USE, litres=None),)},
        "prep.tar remover.litres",
        VAPOUR,
    ),
    "prep solvent": (
        {"prep": (changed(REMOVER_USE, solvent=None),)},
        "prep.tar remover.volatile",
        VAPOUR,
    ),
    "prep share": (
        {"prep": (changed(REMOVER_USE, volatile_pct=None),)},
        "prep.tar remover.volatile",
        VAPOUR,
    ),
    "prep limit": (
        {"prep": (changed(REMOVER_USE, solvent=changed(REMOVER, limit_ppm=None)),)},
        "prep.tar remover.limit",
        {"air_need", "average", "fire"},
    ),
    "prep category": (
        {"prep": (changed(REMOVER_USE, category=None),)},
        "prep.tar remover.category",
        {"class:tar remover", "fire", "waste:tar remover"},
    ),
    "bay size": (
        {"bay": changed(BAY, volume_m3=None)},
        "bay.volume",
        BOX | {"air_changes"},
    ),
    "exhaust": (
        {"bay": changed(BAY, exhaust_m3_per_h=None)},
        "bay.exhaust",
        VAPOUR | {"air_changes", "flow_age"},
    ),
    "measured date": (
        {"bay": changed(BAY, measured_on=None)},
        "bay.measured_on",
        {"flow_age", "fire"},
    ),
    "mixing factor": (
        {"bay": changed(BAY, mixing_value=None)},
        "bay.mixing",
        BOX | {"air_need"},
    ),
    "mixing basis": (
        {"bay": changed(BAY, mixing_basis=None)},
        "bay.mixing",
        BOX | {"air_need"},
    ),
    "limit": ({"limit_ppm": None}, "local.limit", {"air_need", "average", "fire"}),
    "minutes": ({"session_min": None}, "order.minutes", VAPOUR),
    "air": ({"air_c": None}, "order.air", BOX | {"air_need"}),
    "heat target": ({"heat_target_ppm": None}, "bay.heat_target", {"wait", "fire"}),
    "stock": ({"stock": None}, "stock.list", {"stock"}),
    "container category": (
        {"stock": (changed(CAN, category=None),)},
        "stock.C1.category",
        SUMS | {"size:C1"},
    ),
    "container size": (
        {"stock": (changed(CAN, size_l=None),)},
        "stock.C1.size",
        SUMS | {"size:C1"},
    ),
    "container kind": (
        {"stock": (changed(CAN, kind=None),)},
        "stock.C1.kind",
        {"size:C1"},
    ),
    "container location": (
        {"stock": (changed(CAN, location=None),)},
        "stock.C1.location",
        {"place"},
    ),
    "code": ({"authorities": changed(LOCAL, code=None)}, "local.code", {"fire_code"}),
    "fire official": (
        {"authorities": changed(LOCAL, fire_official=None)},
        "local.fire_official",
        {"fire_code"},
    ),
    "sewer authority": (
        {"authorities": changed(LOCAL, sewer=None)},
        "local.sewer",
        {"rinse_water"},
    ),
    "rinse water": (
        {"authorities": changed(LOCAL, rinse_water=None)},
        "local.rinse_water",
        {"rinse_water"},
    ),
}


JUG = changed(CAN, kind=ContainerKind.GLASS_OR_PLASTIC, listed=None)
SHEET = SheetOnHand(product="alcohol", dated=date(2025, 1, 1), has_file=True)
TAKEN_AWAY |= {
    "container approval": (
        {"stock": (JUG,)},
        "stock.C1.approval",
        {"size:C1"},
    ),
    "data sheet file": (
        {"sheets": (changed(SHEET, has_file=False),)},
        "sheet.alcohol",
        {"sheets"},
    ),
    "data sheet date": (
        {"sheets": (changed(SHEET, dated=None),)},
        "sheet.alcohol",
        {"sheets"},
    ),
    "data sheets": ({"sheets": None}, "sheets", {"sheets"}),
    "8-hour limit of the rules": (
        {"rules": without_limit("air:8h")},
        "rules.air:8h",
        {"air_need", "average", "fire"},
    ),
    "15-minute limit of the rules": (
        {"rules": without_limit("air:15min")},
        "rules.air:15min",
        {"short", "fire"},
    ),
    "end of category 4": (
        {"solutions": (SLIP, HOT_MIX), "rules": without_limit("category:4")},
        "rules.category:4",
        {"class:tack", "label:tack", "fire"},
    ),
    "waste flash point": (
        {"rules": without_limit("waste:flash")},
        "rules.waste:flash",
        {"waste:tack", "waste:tar remover"},
    ),
    "waste alcohol share": (
        {"rules": without_limit("waste:alcohol")},
        "rules.waste:alcohol",
        {"waste:tack"},
    ),
    "waste water share": (
        {"rules": without_limit("waste:water")},
        "rules.waste:water",
        {"waste:tack"},
    ),
    "sewer flash point": (
        {"rules": without_limit("drain:flash")},
        "rules.drain:flash",
        {"drain"},
    ),
    "size of a metal container": (
        {"rules": without_row("sizes", "size:metal:2")},
        "rules.size:metal:2",
        {"size:C1"},
    ),
    "sum of a cabinet": (
        {"rules": without_row("sums", "sum:cabinet:1+2+3")},
        "rules.sum:cabinet:1+2+3",
        {"place:cabinet 1:1+2+3"},
    ),
}


def not_assessed(block) -> set[str]:
    return {
        line.key
        for line in (block.fire_line, *block.lines)
        if line.state is State.NOT_ASSESSED
    }


def test_complete_job_has_nothing_left_to_enter():
    block = safety_block(request())
    assert block.to_enter == ()
    assert not_assessed(block) == set()


@pytest.mark.parametrize("name", TAKEN_AWAY)
def test_taken_input_holds_up_exactly_its_lines(name):
    changes, key, lines = TAKEN_AWAY[name]
    block = safety_block(request(**changes))
    # The prep list itself was taken away, so its own class line is gone too.
    assert not_assessed(block) == lines
    assert [need.key for need in block.to_enter] == [key]
    assert set(block.to_enter[0].lines) == lines
    assert block.to_enter[0].page in (
        "shop settings, bays",
        "stock shelf",
        "shop settings, local code",
        "shop settings, safety rules",
        "work order, solutions",
        "work order, safety",
    )


@pytest.mark.parametrize("name", TAKEN_AWAY)
def test_no_total_over_a_missing_input_reads_ok(name):
    changes, _, lines = TAKEN_AWAY[name]
    block = safety_block(request(**changes))
    assert block.state in (State.NOT_ASSESSED, State.OVER)
    totals = dict(block.totals)
    for key in lines - {"fire"}:
        section = block.line(key).section
        assert totals[section] in (State.NOT_ASSESSED, State.OVER)


@pytest.mark.parametrize("name", TAKEN_AWAY)
def test_lines_beside_a_missing_input_stay_as_they_were(name):
    changes, _, lines = TAKEN_AWAY[name]
    whole = {line.key: line for line in safety_block(request()).lines}
    less = {line.key: line for line in safety_block(request(**changes)).lines}
    gone = {"class:tar remover", "waste:tar remover"}
    gone = gone if changes.get("prep", ()) is None else set()
    replaced = SUMS | {"size:C1", "place", "stock"}
    if "solutions" in changes:
        replaced |= {"label:tack", "waste:tack", "class:tack"} | VAPOUR | {"short"}
    for key in whole.keys() - lines - gone - replaced:
        assert less[key].state is whole[key].state


def test_an_empty_set_of_rules_assesses_nothing_by_it():
    empty = entered_rules(name="here", version=1, rows=[])
    block = safety_block(request(rules=empty))
    by_rules = {"air_need", "average", "short", "waste:tack", "drain", "size:C1"}
    duties = {slot.key for slot in SLOTS if slot.group == "duty"}
    by_rules |= duties | {"label:tack", "place:cabinet 1:2", "fire"}
    by_rules |= {"waste:tar remover"}
    assert not_assessed(block) == by_rules
    totals = dict(block.totals)
    assert State.OK not in {block.state, *map(totals.get, ("air", "storage", "waste"))}
    assert {need.page for need in block.to_enter} == {"shop settings, safety rules"}


def test_every_line_that_goes_by_a_set_names_it():
    own = changed(
        safety_rules(),
        storage=changed(safety_rules().storage, jurisdiction="Elsewhere", version=3),
    )
    block = safety_block(request(rules=own))
    named = {line.key for line in block.lines if line.rules == "Elsewhere, version 3"}
    assert named >= SUMS | {"size:C1", "short", "average", "air_need", "drain"}
    assert named >= {"waste:tack", "waste:slip", "class:tack"}


def test_the_lower_of_the_shops_limit_and_its_rules_is_held():
    strict = changed(
        safety_rules(),
        limits=tuple(
            changed(limit, value=100.0) if limit.key == "air:8h" else limit
            for limit in safety_rules().limits
        ),
    )
    own = safety_block(tack_only()).line("average")
    ruled = safety_block(tack_only(rules=strict)).line("average")
    assert [f.value for f in (own.figures[-1], ruled.figures[-1])] == [200.0, 100.0]
    assert (own.state, ruled.state) == (State.OK, State.WATCH)


def test_rules_without_a_category_4_leave_a_liquid_above_60_unclassified():
    none = changed(
        safety_rules(),
        limits=tuple(
            changed(limit, value=None, applies=False)
            if limit.key == "category:4"
            else limit
            for limit in safety_rules().limits
        ),
    )
    by_example = safety_block(request(solutions=(HOT_MIX,)))
    by_own = safety_block(request(solutions=(HOT_MIX,), rules=none))
    assert "category 4" in str(by_example.line("class:tack").sentence)
    assert "not classified" in str(by_own.line("class:tack").sentence)


def test_nothing_entered_at_all_is_never_ok():
    block = safety_block(
        request(
            prep=None,
            bay=None,
            limit_ppm=None,
            session_min=None,
            air_c=None,
            heat_target_ppm=None,
            stock=None,
            authorities=Authorities(),
        )
    )
    assert block.state is State.NOT_ASSESSED
    assert block.wait is None
    assert block.curve == ()
    assert len({need.key for need in block.to_enter}) == len(block.to_enter)
