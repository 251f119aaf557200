"""Words of the shop's tables as a customer reads them (pure).

What stands in a table is found by no search for sentences: it is named here, and a
test holds this list against the tables.
"""

from __future__ import annotations

from collections.abc import Mapping

from jobs.condition.marks import Filming
from jobs.coverage.car_drawing import PanelState
from shopapp.say import Say, say

HOW_FAR: Mapping[PanelState, str] = {
    PanelState.CHOSEN: say("to be covered").text,
    PanelState.READY: say("ready for film").text,
    PanelState.LAID: say("covered").text,
    PanelState.LOOKED: say("covered and checked").text,
}
"""How far a panel is."""

MEANS: Mapping[Filming, Say] = {
    Filming.YES: say("Film goes over it, and it stays visible."),
    Filming.CONSENT: say(
        "Film goes over it only with your yes: it stays visible, and film may hold "
        "less well there."
    ),
    Filming.REMOVE_FIRST: say("We take it off before film is laid."),
    Filming.NEVER: say("No film can be laid there until the paint is put right."),
}
"""What a mark means for the film. Common practice, no published source."""

PAPERS: Mapping[str, Say] = {
    "care": say("Caring for your film"),
    "film_record": say("Film and warranty record"),
    "invoice": say("Invoice"),
    "receipt": say("Receipt"),
    "estimate": say("Estimate"),
    "confirmation": say("Confirmation of your booking"),
    "drop_off": say("Drop-off note"),
}
"""Names of papers, where the shop's own name for them is not a customer's."""

PACKAGES = (
    say("partial front"),
    say("full front"),
    say("track"),
    say("full vehicle"),
    say("single panels"),
)
DRAWING = (
    say("chosen"),
    say("laid"),
    say("looked at"),
    say("edge wrapped"),
    say("edge cut short"),
    say("badge off"),
    say("badge cut round"),
    say("seam"),
    say("relief"),
    say("off"),
    say("cut round"),
    say("front"),
    say("right side"),
    say("left side"),
)
ON_ACCOUNT = (
    *(say("card"), say("cash"), say("transfer"), say("deposit at booking")),
    *(say("invoice"), say("credit note")),
)
"""What stands on papers of money."""
SEVERITIES = (say("slight"), say("plain"), say("severe"))
PANELS = (
    say("front bumper"),
    say("headlight, left"),
    say("headlight, right"),
    say("partial hood"),
    say("hood"),
    say("partial front fender, left"),
    say("partial front fender, right"),
    say("front fender, left"),
    say("front fender, right"),
    say("mirror, left"),
    say("mirror, right"),
    say("A-pillar, left"),
    say("A-pillar, right"),
    say("roof front edge"),
    say("roof"),
    say("front door, left"),
    say("front door, right"),
    say("front door edge, left"),
    say("front door edge, right"),
    say("front handle cup, left"),
    say("front handle cup, right"),
    say("B-pillar, left"),
    say("B-pillar, right"),
    say("rear door, left"),
    say("rear door, right"),
    say("rear door edge, left"),
    say("rear door edge, right"),
    say("rear handle cup, left"),
    say("rear handle cup, right"),
    say("rocker, left"),
    say("rocker, right"),
    say("rear wheel arch, left"),
    say("rear wheel arch, right"),
    say("quarter, left"),
    say("quarter, right"),
    say("boot lid"),
    say("tail light, left"),
    say("tail light, right"),
    say("loading edge"),
    say("rear bumper"),
    say("hatch"),
    say("door, left"),
    say("door, right"),
    say("door edge, left"),
    say("door edge, right"),
    say("handle cup, left"),
    say("handle cup, right"),
    say("sliding door, left"),
    say("sliding door, right"),
    say("bed side, left"),
    say("bed side, right"),
    say("tailgate"),
)
MARKS = (
    say("stone chip"),
    say("scratch in the clear coat"),
    say("scratch to the base coat"),
    say("scratch to primer or metal"),
    say("scuff or transfer"),
    say("dent, paint broken"),
    say("dent, paint intact"),
    say("door ding"),
    say("crease"),
    say("crack"),
    say("clear coat peeling"),
    say("oxidation or chalking"),
    say("swirl marks or holograms"),
    say("random deep scratch"),
    say("water-spot etching"),
    say("bird, insect or sap etching"),
    say("tar"),
    say("rail dust or iron fallout"),
    say("overspray"),
    say("orange peel"),
    say("run or sag"),
    say("sand-through or thin edge"),
    say("rust bubble"),
    say("repaint edge line"),
    say("touch-up paint"),
    say("stain"),
    say("existing film: lift, yellowing, residue"),
    say("wrap, coating or wax present"),
    say("uneven panel gap"),
    say("badge or trim loose"),
    say("glass or lens pitting"),
    say("wheel kerb damage"),
)
