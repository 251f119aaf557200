"""What is offered on top of the booked work, in words, and when it can be (pure)."""

from __future__ import annotations

from jobs.coverage.catalogue import Edge
from jobs.stages.table import May, Stage
from shopapp.say import Say, say


def offered_said(*, panel: str, edge: str, work: str, is_edge: bool) -> Say:
    """An addition as the customer reads it.

    panel    its name on this car; "" for other work
    edge     how its edge ends
    is_edge  the panel is on the order already; only its edge changes

    >>> str(offered_said(panel="hood", edge="wrapped", work="", is_edge=False))
    'Film on the hood, edge wrapped'
    """
    wrapped = edge == Edge.WRAPPED.value
    if not panel:
        return say("{work}", work=work)
    if is_edge and wrapped:
        return say("The edge of the {panel} wrapped instead of cut short", panel=panel)
    if is_edge:
        return say("The edge of the {panel} cut short instead of wrapped", panel=panel)
    if wrapped:
        return say("Film on the {panel}, edge wrapped", panel=panel)
    return say("Film on the {panel}, edge cut short", panel=panel)


def film_is_over(stage: Stage) -> bool:
    """Whether no film is laid any more: the car has left the install stage behind."""
    after = list(Stage)[list(Stage).index(stage) :]
    return not any(each.may(May.LAY) for each in after)


def other_edge(edge: str) -> Edge:
    """Wrapped for cut short, and the other way round."""
    return Edge.CUT_SHORT if edge == Edge.WRAPPED.value else Edge.WRAPPED
