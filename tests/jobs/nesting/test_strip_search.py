"""One strip: the order search asks another search once, and only when it is stale."""

from __future__ import annotations

from dataclasses import replace

import pytest

from jobs.allowances import USUAL
from jobs.blanks import panel_blank, template_size
from jobs.coverage import Body, Method, Package, default_choices
from jobs.nesting import search
from jobs.nesting.prover import Prover
from jobs.nesting.search import Strip, improve, quick
from jobs.nesting.strip_search import Effort, search_strip

NEVER = 1e18
SIZES = tuple((300 + 97 * i % 611, 400 + 53 * i % 1201) for i in range(24))
STRIP = Strip(sizes=SIZES, may_turn=(True,) * 24, width=1534)
STALE = 200


@pytest.fixture(autouse=True)
def _soon_stale(monkeypatch):
    monkeypatch.setattr(search, "FINE_STALE", STALE)
    monkeypatch.setattr(search, "COARSE_STALE", STALE)


def improved(*, tries, aside=None):
    return improve(
        STRIP,
        quick(STRIP),
        bound=0,
        tries=tries,
        seed=1,
        deadline=NEVER,
        aside=aside,
    )


def test_another_search_is_asked_once_and_its_shorter_plan_is_gone_on_from():
    asked = []
    longer, best = quick(STRIP), improved(tries=20 * STALE)
    assert best.top < longer.top

    def aside(tries, deadline):
        asked.append(tries)
        return replace(best, tries=7)

    found = improved(tries=4 * STALE, aside=aside)
    assert len(asked) == 1
    assert 0 < asked[0] <= 2 * STALE
    assert found.top <= best.top
    assert found.tries == 4 * STALE


def test_a_longer_plan_of_another_search_changes_nothing():
    found = improved(tries=3 * STALE, aside=lambda *_: quick(STRIP))
    assert found.top <= improved(tries=STALE).top


def test_another_search_is_not_asked_while_the_walk_finds_something():
    def aside(tries, deadline):
        raise AssertionError("too early")

    assert improved(tries=100, aside=aside).tries == 100


def test_a_whole_car_in_pre_cut_film_gets_shorter_by_what_a_knife_could_part():
    """Blanks of the panel templates: design figures, not field data."""
    choices = default_choices(
        Package.FULL_VEHICLE, body=Body.SUV, method=Method.PRE_CUT
    )
    blanks = [
        panel_blank(
            choice,
            size=template_size(choice.panel, size_class="E", body=Body.SUV),
            body=Body.SUV,
            allowance=USUAL[Method.PRE_CUT],
        )
        for choice in choices
    ]
    sizes = tuple((int(b.width_mm.value), int(b.length_mm.value)) for b in blanks)
    strip = Strip(sizes=sizes, may_turn=(True,) * len(sizes), width=1524)
    effort = Effort(
        tries=1500,
        seed=1,
        deadline=NEVER,
        prover=Prover(tries=0, seed=1, deadline=NEVER),
    )
    orders = improve(strip, quick(strip), bound=0, tries=1500, seed=1, deadline=NEVER)
    assert search_strip(strip, quick(strip), effort=effort).top < orders.top
