"""A shop that books: a film on a roll, a bay, two installers, the desk signed in."""

from __future__ import annotations

import pytest

from tests.makers import make_bay, make_film, make_person, make_roll


@pytest.fixture
def film():
    made = make_film()
    make_roll(made)
    return made


@pytest.fixture
def bay():
    return make_bay()


@pytest.fixture
def hands():
    return [make_person("installer", username=name) for name in ("kim", "lou")]


@pytest.fixture
def desk_client(client, desk):
    client.force_login(desk)
    return client
