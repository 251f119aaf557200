"""What may be done to a panel: one sentence greys the button and refuses (pure)."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from jobs.stages.table import May, Stage
from shopapp.say import Say, say


@dataclass(frozen=True, kw_only=True)
class PanelFacts:
    """What is known of a panel when somebody wants to do something to it.

    stage           where the car stands
    round           the order's round, from 1
    is_ready        clean, dry, wiped
    laid_round      round of the film that is on it, or None without film
    is_struck_off   no film will be laid
    is_seen         looked at since its film was laid
    """

    stage: Stage
    round: int
    is_ready: bool = False
    laid_round: int | None = None
    is_struck_off: bool = False
    is_seen: bool = False

    @property
    def is_laid(self) -> bool:
        """Whether there is film on it."""
        return self.laid_round is not None


CLOSED = "The order is closed; open a return visit instead."
STRUCK_OFF = "This panel is struck off."
FILM_ON = "There is film on this panel."
NO_FILM = "There is no film on this panel yet."


def why_not(act: str, facts: PanelFacts) -> Say | None:
    """Why `act` cannot be done to a panel, or None.

    act  a key of `CHECKS`
    Raises KeyError for an unknown act.

    >>> str(why_not("lay", PanelFacts(stage=Stage.PREP, round=1)))
    'Film is laid in the install stage. Move the car there.'
    """
    if facts.stage.is_closed:
        return say(CLOSED)
    text = CHECKS[act](facts)
    return say(text) if text else None


def _ready(facts: PanelFacts) -> str:
    if not facts.stage.may(May.READY):
        return "Take the car into prep first."
    return STRUCK_OFF if facts.is_struck_off else ""


def _unready(facts: PanelFacts) -> str:
    return FILM_ON if facts.is_laid else ""


def _lay(facts: PanelFacts) -> str:
    if not facts.stage.may(May.LAY):
        return "Film is laid in the install stage. Move the car there."
    if facts.is_struck_off:
        return STRUCK_OFF
    if facts.laid_round == facts.round:
        return "This panel is laid already."
    return ""


def _unlay(facts: PanelFacts) -> str:
    if facts.laid_round != facts.round:
        return "This panel is not laid in this round."
    return "This panel has been looked at already." if facts.is_seen else ""


def _strike(facts: PanelFacts) -> str:
    return FILM_ON if facts.is_laid else ""


def _look(facts: PanelFacts) -> str:
    return "" if facts.is_laid else NO_FILM


CHECKS: Mapping[str, Callable[[PanelFacts], str]] = {
    "ready": _ready,
    "unready": _unready,
    "lay": _lay,
    "unlay": _unlay,
    "strike": _strike,
    "look": _look,
    "defect": _look,
}
"""Each act and its check; "" is "go on"."""
