"""Learned rates and shares: drawn to the default, with an honest range."""

import pytest
from hypothesis import given as for_all
from hypothesis import strategies as st

from jobs.findings.learning import (
    Use,
    learned_ml_per_m2,
    learned_use,
    shrunk_rate,
    uses_of,
    wilson_share,
)
from shopapp.figures import explain


@pytest.mark.parametrize(
    ("cases", "of", "low", "high"),
    [
        # Newcombe 1998, Statistics in Medicine 17:857-872, table I, method 3
        # (score, no continuity correction); from memory.
        (81, 263, 0.2553, 0.3662),
        (15, 148, 0.0624, 0.1605),
        (0, 20, 0.0000, 0.1611),
        (1, 29, 0.0061, 0.1718),
    ],
)
def test_the_range_of_a_share_is_the_published_one(cases, of, low, high):
    share = wilson_share(cases=cases, of=of).share
    assert share.low == pytest.approx(low, abs=5e-5)
    assert share.high == pytest.approx(high, abs=5e-5)


@for_all(of=st.integers(1, 500), data=st.data())
def test_a_share_lies_in_its_range_and_the_range_between_0_and_1(of, data):
    cases = data.draw(st.integers(0, of))
    share = wilson_share(cases=cases, of=of).share
    assert 0 <= share.low <= share.value <= share.high <= 1


@pytest.mark.parametrize(("cases", "of"), [(0, 0), (3, 2), (-1, 5)])
def test_a_share_without_a_sample_is_an_error(cases, of):
    with pytest.raises(ValueError, match="sample"):
        wilson_share(cases=cases, of=of)


def test_without_records_the_default_is_used():
    learned = learned_ml_per_m2(used_ml=0, laid_m2=0, default_ml_per_m2=420)
    assert learned.used.value == pytest.approx(420)
    assert learned.own is None


def test_own_and_default_are_both_shown_and_the_used_rate_lies_between():
    # By hand: (300 + 45 x 5) / (5 + 5) = 52.5 mL/m2 between 60 and 45.
    learned = learned_ml_per_m2(
        used_ml=300, laid_m2=5, default_ml_per_m2=45, worth_m2=5
    )
    assert learned.used.value == 52.5
    assert learned.own is not None
    assert (learned.own.value, learned.default.value) == (60, 45)


def test_many_records_outweigh_the_default():
    learned = learned_ml_per_m2(used_ml=6e5, laid_m2=1000, default_ml_per_m2=400)
    assert learned.used.value == pytest.approx(600, rel=0.01)


@for_all(
    amount=st.floats(0, 1e4),
    done=st.floats(0.1, 1e4),
    default=st.floats(0.01, 100),
    worth=st.floats(0.1, 100),
)
def test_a_learned_rate_lies_between_own_and_default(amount, done, default, worth):
    rate = shrunk_rate(
        used_amount=amount, done=done, default_rate=default, worth=worth, unit=""
    ).value
    low, high = sorted((amount / done, default))
    assert low * (1 - 1e-9) <= rate <= high * (1 + 1e-9)


@pytest.mark.parametrize(
    "wrong", [{"used_amount": -1}, {"done": -1}, {"default_rate": 0}, {"worth": 0}]
)
def test_impossible_records_are_errors(wrong):
    values = {"used_amount": 1, "done": 1, "default_rate": 1, "worth": 1, "unit": ""}
    with pytest.raises(ValueError, match=r"negative|above 0"):
        shrunk_rate(**(values | wrong))


@pytest.mark.parametrize("name", ["shrunk_rate", "wilson_share"])
def test_learned_figures_open_to_formula_and_source(name):
    explained = explain(f"jobs.findings.learning.{name}")
    assert explained.formula
    assert explained.source


# ---- use of a solution ----


def test_a_use_learned_from_two_jobs_lies_between_theirs_and_the_default():
    # By hand: (1600 + 2400 + 425 x 20) / (4 + 6 + 20) = 416.67 mL/m2.
    learned = learned_use(
        uses=[Use(used_ml=1600, laid_m2=4), Use(used_ml=2400, laid_m2=6)],
        low_ml_per_m2=350,
        high_ml_per_m2=500,
    )
    assert learned.used.value == pytest.approx(12500 / 30)
    assert learned.own.value == pytest.approx(400)
    assert learned.default.value == 425
    assert learned.used.unit == "ml_per_m2"


def test_without_a_job_the_use_is_the_default_with_its_own_range():
    learned = learned_use(uses=[], low_ml_per_m2=350, high_ml_per_m2=500)
    used = learned.used
    assert (used.low, used.value, used.high) == (350, 425, 500)


@for_all(
    jobs=st.lists(st.tuples(st.floats(0, 20_000), st.floats(0.5, 20)), max_size=20)
)
def test_a_learned_use_lies_in_its_range(jobs):
    uses = [Use(used_ml=ml, laid_m2=m2) for ml, m2 in jobs]
    used = learned_use(uses=uses, low_ml_per_m2=350, high_ml_per_m2=500).used
    assert used.low <= used.value * (1 + 1e-9)
    assert used.value <= used.high * (1 + 1e-9)


def test_batches_that_share_a_panel_are_one_job():
    # Panels 1 and 2 with batch 7; panel 2 with batch 8 too; panel 3 with batch 9.
    uses = uses_of(
        laid_with=[(1, 7), (2, 7), (2, 8), (3, 9)],
        used_ml={7: 900, 8: 300, 9: 500},
        area_m2={1: 2.0, 2: 1.0, 3: 1.5},
    )
    assert sorted((use.used_ml, use.laid_m2) for use in uses) == [(500, 1.5), (1200, 3)]


def test_a_job_with_a_batch_of_unknown_use_teaches_nothing():
    uses = uses_of(
        laid_with=[(1, 7), (1, 8), (3, 9)],
        used_ml={7: 900, 9: 500},
        area_m2={1: 2.0, 3: 1.5},
    )
    assert uses == [Use(used_ml=500, laid_m2=1.5)]
