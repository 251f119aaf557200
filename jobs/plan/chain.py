"""One car as activities, links and spans: the types (pure)."""

from __future__ import annotations

from dataclasses import dataclass, field

from jobs.plan.pieces import Piece
from jobs.plan.shop import Car, Part
from jobs.scheduling.problem import Activity, Due, Link, Pair, Span
from shopapp.say import Say


@dataclass(kw_only=True)
class Chain:
    """What a car asks of the shop, and where its steps are found again.

    release  the first tick at which something can be done to it
    film     key of the last piece of film work still to do, "" without one
    last     key of what is done last before the film settles
    ready    key of the final look, or of the mark of readiness where none is planned
    here     key of the mark of a car that is here, "" before it came
    parks    key of the mark at which it moves to where its film settles
    stay, parked  keys of the spans of its bay and its place
    """

    car: Car
    release: int
    pieces: dict[str, Piece] = field(default_factory=dict)
    activities: dict[str, Activity] = field(default_factory=dict)
    links: list[Link] = field(default_factory=list)
    spans: list[Span] = field(default_factory=list)
    pairs: list[Pair] = field(default_factory=list)
    due: Due | None = None
    film: str = ""
    last: str = ""
    ready: str = ""
    here: str = ""
    parks: str = ""
    assumed: list[Say] = field(default_factory=list)

    def then(self, activity: Activity, *, after: str) -> str:
        """Add an activity that follows another, if there is one."""
        self.activities[activity.key] = activity
        if after:
            self.links.append(Link(before=after, after=activity.key))
        return activity.key

    def keys_of(self, part: Part) -> list[str]:
        """The pieces of a part still to do, in order."""
        return [key for key, one in self.pieces.items() if one.work.part is part]

    def waits_for_film(self) -> bool:
        """Whether film of it is still to settle."""
        return self.car.settling is not None or self.car.settles_until is not None
