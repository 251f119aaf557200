"""A plugin of pytest for `on_old`: runs what is wanted, writes how each test ended.

It is copied into the old product and imports nothing of it.
"""

from __future__ import annotations

import json
import os
from pathlib import Path
from typing import Any

import pytest

WANTED = json.loads(os.environ.get("ON_OLD_WANTED", "[]"))
TOLD: dict[str, dict[str, str]] = {}
PRODUCT = ("jobs", "mixing", "shopapp")


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Keep the wanted tests; a name without parameters stands for all of them."""
    items[:] = [
        item
        for item in items
        if item.nodeid in WANTED or item.nodeid.partition("[")[0] in WANTED
    ]


def pytest_collectreport(report: pytest.CollectReport) -> None:
    """A file that cannot be read: a fault of all its tests."""
    if report.failed:
        lines = str(report.longrepr).strip().splitlines()
        TOLD[report.nodeid] = {"how": "fault", "said": lines[-1]}


@pytest.hookimpl(wrapper=True)
def pytest_runtest_makereport(item: pytest.Item, call: pytest.CallInfo[None]) -> Any:
    """Note how each part of a test ended; the first that failed is what counts."""
    report = yield
    known = TOLD.get(item.nodeid, {"how": "pass"})
    if call.excinfo is not None and known["how"] == "pass":
        error = call.excinfo.value
        counts = call.when == "call" and _is_assertion(error) and _is_own(call)
        if isinstance(error, pytest.skip.Exception):
            counts = False
        first = (str(error) or repr(error)).strip().splitlines()[0]
        said = f"{type(error).__name__}: {first}"
        TOLD[item.nodeid] = {"how": "assertion" if counts else "fault", "said": said}
    else:
        TOLD.setdefault(item.nodeid, known)
    return report


def _is_assertion(error: BaseException) -> bool:
    if isinstance(error, BaseExceptionGroup):
        return all(_is_assertion(inner) for inner in error.exceptions)
    return isinstance(error, AssertionError | pytest.fail.Exception)


def _is_own(call: pytest.CallInfo[None]) -> bool:
    """An assertion of the test or of what helps it, not of the product."""
    assert call.excinfo is not None
    last = Path(call.excinfo.traceback[-1].path)
    root = Path(__file__).parent
    return not (
        last.is_relative_to(root) and last.relative_to(root).parts[0] in PRODUCT
    )


def pytest_sessionfinish() -> None:
    """Write it."""
    Path(os.environ["ON_OLD_TOLD"]).write_text(json.dumps(TOLD))
