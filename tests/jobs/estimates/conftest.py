"""A desk with film and a bay, and an estimate that it made."""

from __future__ import annotations

import pytest

from tests.estimates import estimate_for
from tests.makers import make_bay, make_film, make_person, make_roll


@pytest.fixture
def desk(client):
    make_roll(make_film())
    make_bay()
    person = make_person("desk", username="ben")
    client.force_login(person)
    return person


@pytest.fixture
def row(desk):
    return estimate_for(desk)
