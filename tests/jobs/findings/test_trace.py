"""Likely causes: the trade's table with the order's record laid beside it."""

import pytest
from hypothesis import given as for_all
from hypothesis import strategies as st

from jobs.findings.trace import (
    CAUSES,
    OrderRecord,
    Verdict,
    defect_kinds,
    likely_causes,
)

# Common practice, no published source: rows where the solutions are looked at first.
STARRED = {
    "grab",
    "slide",
    "water_pocket",
    "lifted_edge",
    "lift_line",
    "haze",
    "spots",
}


def verdicts(kind, **record):
    found = likely_causes(kind, record=OrderRecord(**record))
    return {cause.code: cause.verdict for cause in found}


def test_solutions_come_first_only_where_practice_says_so():
    starred = {k for k, row in defect_kinds().items() if row.solutions_first}
    assert starred == STARRED


def test_every_cause_of_the_table_is_known_and_every_known_cause_is_used():
    named = {code for row in defect_kinds().values() for code in row.causes}
    assert named == set(CAUSES)


def test_over_tension_is_named_first_for_a_lifted_edge_without_a_record():
    by_eye = [
        cause.code
        for cause in likely_causes("lifted_edge", record=OrderRecord())
        if cause.verdict is Verdict.BY_EYE
    ]
    assert defect_kinds()["lifted_edge"].causes[0] == "over_tension"
    assert by_eye == ["over_tension", "early_wash"]


def test_a_weak_slip_and_a_hot_panel_lead_when_film_grabbed():
    found = likely_causes(
        "grab",
        record=OrderRecord(
            slip_ml_per_l=1.5, slip_asked_ml_per_l=2.6, panel_c=31.0, air_c=24.0
        ),
    )
    assert [cause.code for cause in found[:2]] == ["slip_weak", "hot"]
    assert str(found[0].evidence) == (
        "Slip held 1.5 ml_per_l of soap; the sheet asked for 2.6 ml_per_l."
    )


@pytest.mark.parametrize(
    ("kind", "record", "code", "verdict"),
    [
        ("grab", {"hardness_mg_per_l": 180.0}, "hard_water", "points_to"),
        ("grab", {"hardness_mg_per_l": 60.0}, "hard_water", "against"),
        ("grab", {}, "hard_water", "not_recorded"),
        ("grab", {"vessels_kept_kind": True}, "alcohol_in_slip", "against"),
        (
            "grab",
            {"placing_min": 20.0, "open_time_min": 12.0},
            "slip_dried",
            "points_to",
        ),
        ("slide", {"air_c": 14.0, "panel_c": 20.0}, "cold", "points_to"),
        (
            "slide",
            {"tack_vv_pct": 12.0, "tack_asked_vv_pct": 17.7},
            "tack_weak",
            "points_to",
        ),
        (
            "slide",
            {"tack_vv_pct": 17.0, "tack_asked_vv_pct": 17.7},
            "tack_weak",
            "against",
        ),
        (
            "lift_line",
            {"tack_vv_pct": 25.0, "tack_asked_vv_pct": 17.7},
            "tack_strong",
            "points_to",
        ),
        ("water_pocket", {"coldest_cure_c": 9.0}, "cold_cure", "points_to"),
        ("water_pocket", {"gel_used": True}, "gel_left", "points_to"),
        ("lifted_edge", {}, "early_wash", "by_eye"),
        ("lifted_edge", {"edges_dried": False}, "edge_wet", "points_to"),
        ("film_fault", {"same_lot_faults": 2}, "maker", "points_to"),
        ("paint_flaw", {"marks_before": ("swirl marks",)}, "before_film", "points_to"),
        ("paint_flaw", {"marks_before": ()}, "before_film", "against"),
        ("cut", {}, "blade", "by_eye"),
    ],
)
def test_the_record_points_to_a_cause_or_speaks_against_it(kind, record, code, verdict):
    assert verdicts(kind, **record)[code] == verdict


def test_dirt_is_never_laid_at_the_door_of_the_solutions():
    codes = set(defect_kinds()["dirt"].causes)
    assert not {c for c in codes if c.startswith(("slip", "tack", "soap", "hard"))}


def test_an_unknown_kind_of_defect_is_an_error():
    with pytest.raises(KeyError):
        likely_causes("nonsense", record=OrderRecord())


@for_all(
    kind=st.sampled_from(list(defect_kinds())),
    record=st.builds(
        OrderRecord,
        slip_ml_per_l=st.none() | st.floats(0, 9),
        slip_asked_ml_per_l=st.none() | st.floats(0.1, 9),
        tack_vv_pct=st.none() | st.floats(0, 99),
        tack_asked_vv_pct=st.none() | st.floats(1, 99),
        panel_c=st.none() | st.floats(0, 60),
        wax_off=st.none() | st.booleans(),
        edges_dried=st.none() | st.booleans(),
    ),
)
def test_no_cause_is_lost_and_what_is_pointed_to_comes_first(kind, record):
    found = likely_causes(kind, record=record)
    assert {c.code for c in found} == set(defect_kinds()[kind].causes)
    order = [list(Verdict).index(cause.verdict) for cause in found]
    assert order == sorted(order)
    for cause in found:
        silent = cause.verdict in (Verdict.NOT_RECORDED, Verdict.BY_EYE)
        assert (cause.evidence is None) is silent


@for_all(asked=st.floats(1, 90), was=st.floats(0, 99))
def test_tack_is_never_both_too_weak_and_too_strong(asked, was):
    record = {"tack_vv_pct": was, "tack_asked_vv_pct": asked}
    weak = verdicts("slide", **record)["tack_weak"]
    strong = verdicts("lift_line", **record)["tack_strong"]
    assert not weak == strong == Verdict.POINTS_TO
