"""What a customer brings and prepares before the car is filmed (pure).

Common practice, no published source; a shop writes its own lines in the settings.
"""

from __future__ import annotations

from shopapp.say import Say, say

USUAL = (
    say("Bring the key, and the second one if a wheel lock or a tag hangs on it."),
    say("Take your things out of the car, the boot and the doors."),
    say("You need not wash it: we do, and look the paint over with you."),
    say("No wax, sealant or coating in the two weeks before."),
    say("Fresh paint hardens first: tell us what was painted, and when."),
)
"""What is usual where the shop says nothing of its own."""


def to_bring(own: str) -> tuple[Say, ...]:
    """The shop's own lines, else the usual ones.

    own  as the shop wrote them, a line each

    >>> [str(line) for line in to_bring("Bring the key.")]
    ['Bring the key.']
    """
    lines = [line.strip() for line in own.splitlines() if line.strip()]
    return tuple(say("{line}", line=line) for line in lines) or USUAL
