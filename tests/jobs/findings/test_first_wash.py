"""What only the customer knows is asked for, and not looked up in a record."""

from __future__ import annotations

from jobs.findings.trace import OrderRecord, likely_causes


def test_the_first_wash_is_asked_about_and_not_called_unrecorded():
    found = {
        cause.code: cause
        for cause in likely_causes("lifted_edge", record=OrderRecord())
    }
    cause = found["early_wash"]
    assert str(cause.verdict) != "not_recorded"
    assert "ask" in str(cause.text)
