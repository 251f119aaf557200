"""What a customer agrees to beside coverage and price: paint, repaint, terms (pure).

Common practice, no published source; a shop writes its own terms in the settings.
"""

from __future__ import annotations

from shopapp.say import Say, say

REPAINT = say(
    "Repainted paint, and paint that holds badly, can come off when film is laid, "
    "lifted or taken off. The shop does not answer for paint that was repainted."
)
USUAL_TERMS = (
    say("Film follows the paint: what is under it stays visible."),
    say("Clear water pockets and light haze go in 2 to 4 weeks, longer when cold."),
    say("What the wash brings to light and film may not cover is asked about first."),
)


def repaint_lines(paint_history: str) -> tuple[Say, ...]:
    """The risk of repainted paint, and what the customer told of it.

    paint_history  of the booking

    >>> len(repaint_lines("")), len(repaint_lines("hood, 2029"))
    (1, 2)
    """
    told = " ".join(paint_history.split())
    if not told:
        return (REPAINT,)
    return REPAINT, say("You told us: {told}", told=told)


def terms_of(own: str) -> tuple[Say, ...]:
    """The shop's own terms, one a line; else the usual ones.

    >>> [str(line) for line in terms_of("Paid when collected.")]
    ['Paid when collected.']
    """
    lines = [line.strip() for line in own.splitlines() if line.strip()]
    return tuple(say("{line}", line=line) for line in lines) or USUAL_TERMS
