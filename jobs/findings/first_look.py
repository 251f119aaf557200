"""Where to look first: at the solutions or beside them (pure)."""

from __future__ import annotations

from collections.abc import Iterable

from jobs.findings.trace import Cause, defect_kinds

IN_THE_SOLUTIONS = frozenset(
    {
        "slip_weak",
        "slip_strong",
        "slip_dried",
        "hard_water",
        "tack_weak",
        "tack_strong",
        "alcohol_in_slip",
        "soap_in_tack",
        "dirty_vessel",
        "gel_left",
    }
)
"""Causes that lie in what was mixed, or how long it stayed open.

Common practice, no published source.
"""


def parted(
    kind: str, causes: Iterable[Cause]
) -> tuple[tuple[Cause, ...], tuple[Cause, ...]]:
    """Causes in the solutions, and the others, each in the order given.

    kind    a kind of `jobs.findings.trace.defect_kinds`
    causes  its causes

    For a kind that the table does not mark, the solutions are not looked at first:
    all its causes are among the others.
    Not for: proof: the table is common practice.
    Source: common practice, no published source (the rows marked in data/defects.csv).

    >>> [len(part) for part in parted("scorch", ())]
    [0, 0]
    """
    known = tuple(causes)
    if not defect_kinds()[kind].solutions_first:
        return (), known
    mixed = tuple(cause for cause in known if cause.code in IN_THE_SOLUTIONS)
    return mixed, tuple(cause for cause in known if cause not in mixed)
