"""Hot tools in a bay: one look-round a session, then the wait after alcohol (pure).

Film with only soap and water under it may be warmed: that is how film is relaxed, and
nothing here stands in its way.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import StrEnum

from shopapp.figures import Figure, given
from shopapp.say import Say, say

LONGEST_MEMORY = timedelta(hours=24)
"""Alcohol recorded longer ago is not held against a bay any more."""
CLEAR_M = 3.0


class Heat(StrEnum):
    """How a bay stands before hot tools."""

    SOAP_ONLY = "soap_only"
    LOOK_ROUND = "look_round"
    WAIT = "wait"
    UNKNOWN = "unknown"
    CLEAR = "clear"


@dataclass(frozen=True, kw_only=True)
class BayHeat:
    """What is known of a bay: moments in UTC.

    alcohol_at       the newest alcohol recorded there, or None
    checked_at       the newest look-round there, or None
    session_began_at begin of the shop's day
    wait             minutes from the last alcohol to hot tools, of the safety block
    wait_unknown     alcohol is to come, and the block cannot say how long to wait
    """

    now: datetime
    session_began_at: datetime
    alcohol_at: datetime | None
    checked_at: datetime | None
    wait: Figure | None
    wait_unknown: bool = False


@dataclass(frozen=True, kw_only=True)
class HeatLine:
    """The state, its sentence, whether a look-round is asked, and until when."""

    heat: Heat
    sentence: Say
    ask: bool
    until: datetime | None = None


def heat_line(known: BayHeat) -> HeatLine:
    """What to say of hot tools in a bay.

        asked:  no look-round in this session, or none since the last alcohol
        wait:   until alcohol_at + wait

    known    of the bay
    Not for: a gate: it stops no button, least of all for soap and water.
    Source:  our own synthesis: the wait is purge_hours; clear distance of 3 m (10 ft)
             as the fire code has it for filling points (IFC table 5703.1.1); a
             qualified person should read it first
    """
    alcohol = _recent(known)
    checked = known.checked_at
    if alcohol is None:
        fresh = checked is None or checked < known.session_began_at
        said = _SOAP_UNTIL_ALCOHOL if known.wait_unknown else _SOAP_ONLY
        return HeatLine(heat=Heat.SOAP_ONLY, sentence=said, ask=fresh)
    ask = checked is None or checked < max(alcohol, known.session_began_at)
    if known.wait is None:
        return HeatLine(heat=Heat.UNKNOWN, sentence=_UNKNOWN, ask=ask)
    until = alcohol + timedelta(minutes=known.wait.value)
    if known.now < until:
        sentence = say(
            "Alcohol or solvent was recorded here. {wait} from the last of it before "
            "hot tools, exhaust on.",
            wait=known.wait,
        )
        return HeatLine(heat=Heat.WAIT, sentence=sentence, ask=ask, until=until)
    if ask:
        return HeatLine(heat=Heat.LOOK_ROUND, sentence=_LOOK, ask=True, until=until)
    return HeatLine(heat=Heat.CLEAR, sentence=_CLEAR, ask=False, until=until)


def _recent(known: BayHeat) -> datetime | None:
    at = known.alcohol_at
    return None if at is None or known.now - at > LONGEST_MEMORY else at


_SOAP_ONLY = say(
    "No alcohol or solvent was recorded in this bay in the last 24 hours. Film with "
    "only soap and water under it may be warmed."
)
_SOAP_UNTIL_ALCOHOL = say(
    "No alcohol or solvent was recorded in this bay in the last 24 hours. Until the "
    "first wipe or spray with alcohol film may be warmed; from then on no hot tool, "
    "because nobody knows how long to wait."
)
_UNKNOWN = say(
    "Alcohol or solvent was recorded here and the wait is NOT ASSESSED: no hot tool "
    "until the order's safety page says how long."
)
_LOOK = say("The wait is over. Look round once before hot tools.")
_CLEAR = say("The wait is over and somebody has looked round.")
LOOK_ROUND = (
    say(
        "Bottles capped and {clear} away",
        clear=given(CLEAR_M, "m_whole", ""),
    ),
    say("Rags in the can"),
    say("Nothing wet or pooled at the edge"),
    say("Exhaust on"),
)
"""What is looked at, in the words of the button's list."""
