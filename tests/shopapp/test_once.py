"""What a page reads once, and what an action reads as it stands."""

from __future__ import annotations

from shopapp.once import as_it_stands, once_a_page, one_page

ASKED: list[str] = []


@once_a_page
def answer(name: str, *, more: int = 0) -> str:
    ASKED.append(name)
    return f"{name}{more} {len(ASKED)}"


def test_within_a_page_the_answer_is_the_same():
    with one_page():
        assert answer("a") == answer("a")
        assert answer("a", more=1) != answer("a")
        assert answer("b") != answer("a")


def test_the_next_page_asks_anew():
    with one_page():
        first = answer("a")
    with one_page():
        assert answer("a") != first


def test_outside_a_page_every_call_asks():
    assert answer("a") != answer("a")


def test_an_action_asks_every_time_and_the_page_after_it_anew():
    with one_page():
        first = answer("a")
        with as_it_stands():
            within = answer("a")
            assert within != first
            assert answer("a") != within
        after = answer("a")
        assert after not in (first, within)
        assert answer("a") == after


def test_a_page_forgets_also_after_an_action_that_fails():
    with one_page():
        first = answer("a")
        try:
            with as_it_stands():
                raise ValueError
        except ValueError:
            pass
        assert answer("a") != first
