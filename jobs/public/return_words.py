"""What a car came back for, in its customer's words (pure)."""

from __future__ import annotations

from collections.abc import Mapping

from shopapp.say import Say, say

FAULTS: Mapping[str, Say] = {
    "grab": say("the film does not lie as it should"),
    "slide": say("the film has moved"),
    "water_pocket": say("water pockets that stay"),
    "lifted_edge": say("an edge lifts"),
    "lift_line": say("lines in the glue"),
    "haze": say("haze"),
    "spots": say("spots under the film"),
    "tension_finger": say("small folds at an edge"),
    "stretch_mark": say("stretch marks"),
    "scorch": say("a shiny spot"),
    "bubble_crease": say("an air bubble or a crease"),
    "dirt": say("dirt under the film"),
    "cut": say("a cut or a scratch"),
    "misfit": say("a gap at an edge"),
    "film_fault": say("specks or lines in the film"),
    "paint_flaw": say("a flaw in the paint under the film"),
}
"""By kind of defect; a test holds this list against the table."""

CAME_OF_IT: Mapping[str, Say] = {
    "open": say("we look at it"),
    "touched_up": say("put right"),
    "redo": say("gets new film"),
    "redone": say("new film laid"),
    "nothing": say("we found nothing"),
    "watch": say("we keep an eye on it"),
    "accepted": say("left as it is"),
    "gone": say("gone by itself"),
}
"""By state of the defect."""

PAYS: Mapping[str, Say | None] = {
    "": say("We tell you whether it costs you anything."),
    "shop": say("You pay nothing for this."),
    "maker": say("You pay nothing for this."),
    "customer": None,
}
"""By who pays; where the customer does, the price says it."""

IS_BACK = say("Your car is back with us. We look at what you told us.")
