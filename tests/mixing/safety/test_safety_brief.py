"""The block in few words: what is said shortly, together, and not at all."""

from __future__ import annotations

import pytest

from mixing.safety.block import safety_block
from mixing.safety.brief import brief_lines, brief_need, short_wording
from mixing.safety.states import SafetyLine, State
from mixing.tables import table
from shopapp.say import Say, say
from tests.jobs.papers.safety_blocks import BLOCKS


def line(text, *, key="k", section="waste", state=State.OK, source="law", **more):
    params = {name: more.pop(name) for name in ("name", "size") if name in more}
    return SafetyLine(
        key=key,
        section=section,
        state=state,
        sentence=say(text, **params),
        source=source,
        **more,
    )


@pytest.mark.parametrize("row", table("short_wording"), ids=lambda row: row["long"])
def test_a_short_text_needs_no_value_of_its_own(row):
    assert row["short"] != row["long"]
    names = {"": 1} | {part.partition("}")[0]: 1 for part in row["long"].split("{")[1:]}
    Say(row["short"], tuple(names.items()))


@pytest.mark.parametrize("name", BLOCKS)
def test_every_short_sentence_still_has_its_long_one(name):
    long = {x.sentence.text for x in safety_block(BLOCKS[name]).lines}
    known = set(short_wording("sentence"))
    # Short as they are: nothing to save.
    assert all(len(text) < 100 or text in known for text in long)


def test_lines_that_differ_in_the_name_alone_are_one():
    said = brief_lines(
        [line("{name}: fine.", name=name, key=name) for name in ("Slip", "Gel")]
    )
    assert [str(each.sentence) for each in said] == ["Slip, Gel: fine."]


def test_lines_that_differ_in_a_number_stay_apart():
    said = brief_lines(
        [
            line("{name} {size}.", name=name, size=size, key=name)
            for name, size in (("C1", 1), ("C2", 2))
        ]
    )
    assert len(said) == 2


def test_the_gravest_stands_first_and_no_state_is_lost():
    states = [State.OK, None, State.WATCH, State.OVER, State.NOT_ASSESSED]
    said = brief_lines(
        [line(f"line {at}.", state=state) for at, state in enumerate(states)]
    )
    assert [each.state for each in said] == [
        State.OVER,
        State.NOT_ASSESSED,
        State.WATCH,
        State.OK,
        None,
    ]


def test_a_source_stands_once_behind_the_lines_that_share_it():
    said = brief_lines([line("a."), line("b."), line("c.", source="other")])
    assert [each.source for each in said] == ["", "law", "other"]


def test_paragraphs_of_one_text_name_the_text_once():
    said = brief_lines(
        [
            line("a.", state=None, source="1910.106(e)(2)(iv)(a); quoted"),
            line("b.", state=None, source="1910.106(d)(3)(ii); quoted"),
        ]
    )
    assert said[-1].source == "1910.106(d)(3), (e)(2)"


def test_a_line_by_another_set_of_rules_says_so():
    (said,) = brief_lines([line("a.", rules="United States (example)")], rules="Here")
    assert said.source == "law, United States (example)"


def test_what_is_to_be_entered_keeps_its_name():
    need = say("Approval on {name}: transport mark or listing.", name="C2")
    assert str(brief_need(need)) == "Approval of C2."


def test_a_basis_that_nobody_shortened_stands_in_full():
    (said,) = brief_lines([line("a.", basis=say("Measured at {vv}.", vv=17))])
    assert str(said.basis) == "Measured at 17"
