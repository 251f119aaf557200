"""A closed order, and the desk's browser."""

from __future__ import annotations

import pytest

from tests.jobs.returns.returns import handed_over


@pytest.fixture
def order(installer):
    return handed_over(installer)


@pytest.fixture
def quick_order(installer):
    """Without a mix: for what asks nothing of the bottles."""
    return handed_over(installer, mixed=False)


@pytest.fixture
def desk_client(client, desk):
    client.force_login(desk)
    return client
