from dataclasses import replace

import pytest

from jobs.nesting import (
    Budget,
    Cut,
    FaultyPlanError,
    Offcut,
    Placement,
    Pull,
    Rules,
    plan_pull,
)
from jobs.nesting import plan as plan_module
from jobs.nesting.validator import faults
from tests.jobs.nesting.jobs_at_random import blank, roll

BLANKS = [
    blank("a", 600, 400, turn="quarter"),
    blank("b", 500, 400),
    blank("c", 700, 300),
]
JOB = {
    "blanks": BLANKS,
    "rolls": [roll(width_mm=1200)],
    "offcuts": [],
    "rules": Rules(gap_mm=5, edge_mm=4, lead_mm=20),
}


@pytest.fixture
def plan():
    return plan_pull(**JOB, budget=Budget(tries=0))


def said(plan, **changes):
    return [str(sentence) for sentence in faults(plan, **(JOB | changes))]


def moved(plan, name, **changes):
    return replace(
        plan,
        placements=tuple(
            place._replace(**changes) if place.blank_id == name else place
            for place in plan.placements
        ),
    )


def test_a_sound_plan_has_no_faults(plan):
    assert said(plan) == []


def test_a_planted_overlap_is_caught(plan):
    at = {place.blank_id: place for place in plan.placements}
    bad = moved(plan, "b", x_mm=at["a"].x_mm + 1, y_mm=at["a"].y_mm)
    assert "a and b overlap or are too close." in said(bad)


def test_blanks_nearer_than_the_gap_are_caught(plan):
    assert any("too close" in text for text in said(plan, rules=Rules(gap_mm=6)))


def test_a_planted_wrong_turn_is_caught(plan):
    assert "b may not be turned." in said(moved(plan, "b", turned=True))


def test_a_turn_on_an_offcut_that_forbids_it_is_caught():
    spare = Offcut(id="K1", width_mm=700, length_mm=700, turnable=False)
    job = JOB | {"blanks": BLANKS[:1], "rolls": [], "offcuts": [spare]}
    plan = plan_pull(**job, budget=Budget(tries=0))
    bad = moved(plan, "a", turned=True)
    assert "a lies turned on K1, where nothing may turn." in said(bad, **job)


def test_a_planted_short_length_is_caught(plan):
    pull = plan.pulls[0]
    bad = replace(plan, pulls=(Pull(pull.roll_id, pull.length_mm - 1),), bound_mm=0)
    assert any("sticks out of its film" in text for text in said(bad))


def test_a_blank_over_the_edge_waste_is_caught(plan):
    assert any("sticks out" in text for text in said(moved(plan, "c", x_mm=3)))


def test_a_pull_longer_than_the_roll_is_caught(plan):
    short = roll(width_mm=1200, remaining_mm=plan.length_mm - 1)
    assert any("has less film" in text for text in said(plan, rolls=[short]))


def test_a_missing_and_a_doubled_blank_are_caught(plan):
    bad = replace(plan, placements=plan.placements[:-1])
    assert any("0 times" in text for text in said(bad))
    bad = replace(plan, placements=(*plan.placements, plan.placements[0]))
    assert any("2 times" in text for text in said(bad))


def test_a_plan_that_no_knife_can_part_is_caught():
    pinwheel = [("a", 2, 1), ("b", 1, 2), ("c", 2, 1), ("d", 1, 2), ("e", 1, 1)]
    places = [(0, 0), (2, 0), (1, 2), (0, 1), (1, 1)]
    blanks = [blank(name, w, h) for name, w, h in pinwheel]
    free = {"blanks": blanks, "rolls": [roll(width_mm=3)], "rules": Rules()}
    plan = plan_pull(**free, offcuts=[], budget=Budget(tries=0))
    bad = replace(
        plan,
        placements=tuple(
            Placement(one.id, "R1", x, y, False)
            for one, (x, y) in zip(blanks, places, strict=True)
        ),
        pulls=(Pull("R1", 3),),
        new_offcuts=(),
        bound_mm=3,
    )
    assert said(bad, **free) == []
    knife = free | {"rules": Rules(cut="guillotine")}
    assert said(bad, **knife) == ["R1 cannot be cut from side to side."]


def test_a_cut_through_a_blank_is_caught(plan):
    bad = replace(plan, cuts=(Cut(1, "R1", "across", 0, 100, 1200, 100),))
    assert any("Cut 1 runs through" in text for text in said(bad))


def test_an_offcut_kept_over_a_blank_is_caught(plan):
    kept = plan.new_offcuts[0]._replace(x_mm=0, y_mm=0)
    assert any("lies over" in text for text in said(replace(plan, new_offcuts=(kept,))))


def test_a_bound_above_the_plan_is_caught(plan):
    bad = replace(plan, bound_mm=plan.length_mm + 1)
    assert said(bad) == ["The bound is longer than the plan."]


def test_a_plan_that_fails_is_never_handed_out(monkeypatch):
    def swapped(sheets, *, gap_mm):
        return (Cut(1, "R1", "across", 0, 100, 1200, 100),), ()

    monkeypatch.setattr(plan_module, "cut_list", swapped)
    job = JOB | {"rules": Rules(cut="guillotine")}
    with pytest.raises(FaultyPlanError, match="runs through"):
        plan_pull(**job, budget=Budget(tries=0))
