"""What the parts of the work are called on pages and papers (pure)."""

from __future__ import annotations

from jobs.plan.shop import Part

PART_WORDS: dict[Part, str] = {
    Part.CUT: "cutting film",
    Part.INTAKE: "intake",
    Part.ADDED_BEFORE: "added work",
    Part.PREP: "prep",
    Part.INSTALL: "film work",
    Part.HELP: "helping",
    Part.ADDED_AFTER: "added work",
    Part.INSPECTION: "inspection",
    Part.SETTLING: "settling",
    Part.LOOK: "final look",
    Part.STAY: "in the bay",
    Part.PARKED: "settling",
}
"""The word in a sentence and in a table's cell."""

HELD = frozenset({Part.STAY, Part.PARKED})
"""No work: the car holds a place for as long."""

NOBODY_S = HELD | {Part.SETTLING}
"""What a car does in a spot while nobody works on it."""
