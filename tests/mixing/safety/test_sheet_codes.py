"""The words of section 2, read into codes."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mixing.safety.sheet_codes import read_codes

CODES = ("H225", "H304", "H319", "H334", "H336", "H412")


@given(
    codes=st.lists(st.sampled_from(CODES), min_size=1, unique=True),
    between=st.sampled_from([", ", ";", "/", " + ", " ", "; ", " - ", "\n"]),
    written=st.sampled_from([str.upper, str.lower, lambda c: f"H {c[1:]}"]),
)
def test_any_codes_in_any_writing_are_found_and_kept_in_one_form(
    codes, between, written
):
    read = read_codes(between.join(written(code) for code in codes))
    assert read.codes == tuple(sorted(codes))
    assert read.is_read
    assert read_codes(read.text) == read


@pytest.mark.parametrize(
    ("printed", "codes"),
    [
        ("h225 h319", ("H225", "H319")),
        ("H225 Highly flammable liquid and vapour", ("H225",)),
        ("Eye Irrit. 2A; STOT SE 3 (H336)", ("H319", "H336")),
        ("Danger: EUH066, H225, P210", ("EUH066", "H225")),
        ("Resp. Sens. 1, Asp. Tox. 1", ("H304", "H334")),
        ("H360FD", ("H360FD",)),
    ],
)
def test_what_sheets_print(printed, codes):
    assert read_codes(printed).codes == codes


def test_a_sheet_that_was_read_and_one_that_was_not():
    assert read_codes("none").is_read
    assert read_codes("not flammable").is_not_flammable
    assert not read_codes("").is_read
    assert read_codes("H225, not flammable").not_understood == ("not flammable",)


def test_no_health_code_is_dropped_without_a_word():
    read = read_codes("H304, H319, H334, H411")
    assert read.left_out == ("H304", "H334")
    assert [str(hazard) for hazard in read.hazards] == ["EYE_IRRIT_2"]
