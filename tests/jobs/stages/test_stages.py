"""Leaving a stage: each rule of the shop speaks, refuses and yields as it should."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given as for_all
from hypothesis import strategies as st

from jobs.rules.table import RULES, Level, Rule, enforced_levels, is_hard, level_of
from jobs.stages.leaving import (
    FilmLimits,
    StageFacts,
    concerns,
    film_limit_sentences,
    overridden,
    reasons_not_to_move,
)
from jobs.stages.table import NEXT, Stage, is_redo, way_on

NOON = datetime(2026, 3, 2, 12, tzinfo=UTC)
ENFORCED = enforced_levels()
IN_ORDER = [stage for stage in Stage if stage is not Stage.CLOSED]


def ready(stage: Stage) -> StageFacts:
    """Facts of an order that may leave its stage without a word."""
    return StageFacts(
        stage=stage,
        now=NOON,
        walk_round_agreed=True,
        panels_ready=1,
        cure_over_at=NOON - timedelta(hours=2),
        final_look_at=NOON - timedelta(hours=1),
        balance_settled=True,
        hand_over_agreed=True,
    )


def onward(stage: Stage) -> Stage:
    to = way_on(stage)
    assert to is not None
    return to


BROKEN = [
    (Stage.INTAKE, {"walk_round_agreed": False}, Rule.WALK_ROUND_AGREED, "reason"),
    (Stage.INTAKE, {"open_items": ("mileage",)}, Rule.INTAKE_ITEMS, "reason"),
    (Stage.PREP, {"panels_ready": 0}, Rule.PANEL_READY, "hard"),
    (
        Stage.PREP,
        {"film_limits": FilmLimits(panel_max_c=30), "panel_c": 31.0},
        Rule.FILM_LIMITS,
        "reason",
    ),
    (Stage.PREP, {"marks_unapproved": ("chip",)}, Rule.AFTER_WASH_MARKS, "reason"),
    (
        Stage.PREP,
        {"panel_c": 9.0, "dew_point_c": 11.0},
        Rule.PANEL_ABOVE_DEW_POINT,
        "advice",
    ),
    (Stage.INSTALL, {"panels_open": ("roof",)}, Rule.PANELS_LAID, "reason"),
    (Stage.INSTALL, {"solutions_open": ("tack",)}, Rule.SOLUTIONS_SETTLED, "reason"),
    (Stage.INSPECTION, {"panels_unseen": ("hood",)}, Rule.PANELS_LOOKED_AT, "reason"),
    (
        Stage.INSPECTION,
        {"defects_outside": ("lift line, hood",)},
        Rule.ACCEPTANCE_STANDARD,
        "reason",
    ),
    (
        Stage.INSPECTION,
        {"self_inspected": ("hood",), "another_inspector": True},
        Rule.SECOND_PAIR_OF_EYES,
        "advice",
    ),
    (Stage.CURE, {"cure_over_at": NOON + timedelta(1)}, Rule.CURE_TIME_OVER, "reason"),
    (Stage.CURE, {"final_look_at": None}, Rule.FINAL_LOOK, "reason"),
    (Stage.CURE, {"balance_settled": False}, Rule.BALANCE_SETTLED, "reason"),
    (Stage.CURE, {"hand_over_agreed": False}, Rule.HAND_OVER_AGREED, "reason"),
    (Stage.INSTALL, {"paused_because": "waits for film"}, Rule.NOT_PAUSED, "reason"),
    (Stage.INSTALL, {"open_items": ("edges dry",)}, Rule.STAGE_ITEMS, "advice"),
]


@pytest.mark.parametrize("stage", IN_ORDER)
def test_a_car_with_everything_done_moves_on_without_a_word(stage):
    assert concerns(ready(stage), to=onward(stage), levels=ENFORCED) == ()


@pytest.mark.parametrize(("stage", "change", "rule", "level"), BROKEN)
def test_each_rule_speaks_at_its_default_level(stage, change, rule, level):
    facts = replace(ready(stage), **change)
    found = concerns(facts, to=onward(stage), levels=ENFORCED)
    assert (rule, level) in [(c.rule, c.level) for c in found]


@pytest.mark.parametrize(("stage", "change", "rule", "level"), BROKEN)
def test_the_greyed_button_and_the_refusal_say_the_same(stage, change, rule, level):
    facts = replace(ready(stage), **change)
    shown = [
        c.sentence
        for c in concerns(facts, to=onward(stage), levels=ENFORCED)
        if c.level is not Level.ADVICE
    ]
    refused = reasons_not_to_move(facts, to=onward(stage), levels=ENFORCED, given={})
    assert list(refused) == shown


@pytest.mark.parametrize(("stage", "change", "rule", "level"), BROKEN)
def test_a_new_shop_is_advised_and_only_hard_rules_refuse(stage, change, rule, level):
    facts = replace(ready(stage), **change)
    refused = reasons_not_to_move(facts, to=onward(stage), levels={}, given={})
    assert bool(refused) is (level == "hard")


def test_a_stage_cannot_be_skipped_and_says_which_comes_next():
    (concern,) = concerns(ready(Stage.INTAKE), to=Stage.INSTALL, levels=ENFORCED)
    assert concern.level is Level.HARD
    assert str(concern.sentence) == ("A car in intake goes on to prep, not to install.")


def test_a_car_cannot_move_to_the_stage_it_is_in():
    (concern,) = concerns(ready(Stage.PREP), to=Stage.PREP, levels=ENFORCED)
    assert str(concern.sentence) == "The car is already in prep."


def test_a_closed_order_points_to_a_return_visit():
    (concern,) = concerns(ready(Stage.CLOSED), to=Stage.INTAKE, levels=ENFORCED)
    assert "return visit" in str(concern.sentence)


def test_a_skipped_stage_is_refused_even_with_a_written_reason():
    refused = reasons_not_to_move(
        ready(Stage.INTAKE),
        to=Stage.CURE,
        levels={},
        given={Rule.STAGES_IN_ORDER: "in a hurry"},
    )
    assert len(refused) == 1


@pytest.mark.parametrize("stage", [Stage.INSPECTION, Stage.CURE])
def test_a_redo_leads_back_to_install_whatever_is_open(stage):
    facts = StageFacts(stage=stage, now=NOON, defects_outside=("lifted edge",))
    assert is_redo(stage, to=Stage.INSTALL)
    assert concerns(facts, to=Stage.INSTALL, levels=ENFORCED) == ()


def test_the_way_from_prep_to_install_is_not_a_redo():
    assert not is_redo(Stage.PREP, to=Stage.INSTALL)


def test_a_reason_lets_the_car_go_and_is_kept_to_print():
    facts = replace(ready(Stage.CURE), balance_settled=False)
    reason = {Rule.BALANCE_SETTLED: "manager: pays on Monday"}
    assert not reasons_not_to_move(
        facts, to=Stage.CLOSED, levels=ENFORCED, given=reason
    )
    (kept,) = overridden(facts, to=Stage.CLOSED, levels=ENFORCED, given=reason)
    assert kept.rule is Rule.BALANCE_SETTLED


def test_a_blank_reason_is_no_reason():
    facts = replace(ready(Stage.CURE), balance_settled=False)
    assert reasons_not_to_move(
        facts, to=Stage.CLOSED, levels=ENFORCED, given={Rule.BALANCE_SETTLED: "  "}
    )


def test_a_reason_for_one_rule_does_not_excuse_another():
    facts = replace(ready(Stage.CURE), balance_settled=False, hand_over_agreed=False)
    (left,) = reasons_not_to_move(
        facts, to=Stage.CLOSED, levels=ENFORCED, given={Rule.BALANCE_SETTLED: "note"}
    )
    assert str(left) == "The hand-over is not agreed yet."


def test_open_prep_items_stay_with_their_panels():
    facts = replace(ready(Stage.PREP), open_items=("clay the doors",))
    assert concerns(facts, to=Stage.INSTALL, levels=ENFORCED) == ()


def test_a_final_look_before_the_cure_time_was_over_does_not_count():
    facts = replace(
        ready(Stage.CURE),
        cure_over_at=NOON - timedelta(hours=1),
        final_look_at=NOON - timedelta(hours=2),
    )
    (concern,) = concerns(facts, to=Stage.CLOSED, levels=ENFORCED)
    assert concern.rule is Rule.FINAL_LOOK


def test_the_cure_time_is_over_at_the_very_minute():
    facts = replace(ready(Stage.CURE), cure_over_at=NOON, final_look_at=NOON)
    assert concerns(facts, to=Stage.CLOSED, levels=ENFORCED) == ()


def test_an_unknown_ready_time_is_not_a_finished_cure():
    facts = replace(ready(Stage.CURE), cure_over_at=None)
    (concern,) = concerns(facts, to=Stage.CLOSED, levels=ENFORCED)
    assert concern.rule is Rule.CURE_TIME_OVER


def test_a_person_alone_in_the_shop_may_inspect_their_own_work():
    facts = replace(ready(Stage.INSPECTION), self_inspected=("hood",))
    assert concerns(facts, to=onward(Stage.INSPECTION), levels=ENFORCED) == ()


@pytest.mark.parametrize(
    ("reading", "sentence"),
    [
        ({"panel_c": 9.0}, "The panel is at 9 degc; the film maker asks for at least"),
        ({"air_c": 36.0}, "The air is at 36 degc; the film maker allows at most"),
        ({"rh_pct": 81.0}, "Humidity is 81 pct; the film maker allows at most"),
    ],
)
def test_a_reading_outside_the_limits_is_named_with_its_limit(reading, sentence):
    limits = FilmLimits(panel_min_c=10, air_max_c=35, rh_max_pct=80)
    values = {"panel_c": None, "air_c": None, "rh_pct": None} | reading
    (found,) = film_limit_sentences(limits=limits, **values)
    assert str(found).startswith(sentence)


def test_a_reading_on_the_limit_is_inside_it():
    limits = FilmLimits(panel_min_c=10, panel_max_c=30)
    for panel_c in (10.0, 30.0):
        assert not film_limit_sentences(
            limits=limits, panel_c=panel_c, air_c=None, rh_pct=None
        )


def test_every_rule_has_a_title_and_an_explanation():
    assert set(RULES) == set(Rule)
    assert all(str(i.title) and str(i.explanation) for i in RULES.values())


def test_no_table_softens_a_hard_rule_or_hardens_another():
    all_advice = dict.fromkeys(Rule, Level.ADVICE)
    all_hard = dict.fromkeys(Rule, Level.HARD)
    for rule in Rule:
        assert (level_of(rule, levels=all_advice) is Level.HARD) is is_hard(rule)
        assert (level_of(rule, levels=all_hard) is Level.HARD) is is_hard(rule)


def test_a_rule_new_in_an_upgrade_never_stops_a_car():
    assert level_of(Rule.FINAL_LOOK, levels={}) is Level.ADVICE


names = st.lists(st.sampled_from(["hood", "roof", "door"]), max_size=3).map(tuple)
facts_of = st.builds(
    StageFacts,
    stage=st.sampled_from(Stage),
    now=st.just(NOON),
    paused_because=st.sampled_from(["", "waits for parts"]),
    open_items=names,
    walk_round_agreed=st.booleans(),
    panels_ready=st.integers(0, 3),
    panel_c=st.none() | st.floats(-10, 60),
    dew_point_c=st.none() | st.floats(-10, 30),
    marks_unapproved=names,
    panels_open=names,
    solutions_open=names,
    panels_unseen=names,
    self_inspected=names,
    another_inspector=st.booleans(),
    defects_outside=names,
    cure_over_at=st.sampled_from([None, NOON - timedelta(1), NOON + timedelta(1)]),
    final_look_at=st.sampled_from([None, NOON]),
    balance_settled=st.booleans(),
    hand_over_agreed=st.booleans(),
)
any_levels = st.dictionaries(st.sampled_from(Rule), st.sampled_from(Level))
any_reasons = st.dictionaries(st.sampled_from(Rule), st.sampled_from(["", "ok"]))


@for_all(facts=facts_of, to=st.sampled_from(Stage), levels=any_levels)
def test_a_move_outside_the_table_is_always_refused(facts, to, levels):
    if to not in NEXT[facts.stage]:
        everything = dict.fromkeys(Rule, "because")
        assert reasons_not_to_move(facts, to=to, levels=levels, given=everything)


@for_all(
    facts=facts_of,
    to=st.sampled_from(Stage),
    levels=any_levels,
    given=any_reasons,
    more=any_reasons,
)
def test_more_reasons_never_refuse_more(facts, to, levels, given, more):
    before = reasons_not_to_move(facts, to=to, levels=levels, given=given)
    kept = {rule: text for rule, text in given.items() if text}
    after = reasons_not_to_move(facts, to=to, levels=levels, given=more | kept)
    assert set(after) <= set(before)


@for_all(facts=facts_of, to=st.sampled_from(Stage), given=any_reasons)
def test_a_concern_is_refused_overridden_or_advice(facts, to, given):
    found = concerns(facts, to=to, levels=ENFORCED)
    refused = reasons_not_to_move(facts, to=to, levels=ENFORCED, given=given)
    kept = overridden(facts, to=to, levels=ENFORCED, given=given)
    advice = [c for c in found if c.level is Level.ADVICE]
    assert len(found) == len(refused) + len(kept) + len(advice)


@for_all(facts=facts_of, to=st.sampled_from(Stage))
def test_reasons_for_everything_leave_only_hard_rules(facts, to):
    found = concerns(facts, to=to, levels=ENFORCED)
    refused = reasons_not_to_move(
        facts, to=to, levels=ENFORCED, given=dict.fromkeys(Rule, "because")
    )
    assert set(refused) == {c.sentence for c in found if c.level is Level.HARD}
