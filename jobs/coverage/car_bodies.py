"""Measures of the drawn car, by body (pure); our own, in units of about 1 cm."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from jobs.coverage.catalogue import Body


@dataclass(frozen=True, kw_only=True)
class Shape:
    """Measures of a body: x from the front, heights from the ground.

    cowl, screen  end of the hood, and of the windscreen
    roof, glass   end of the roof, and of the rear window, seen from above
    lid, tail     end of the boot lid, and of the rear bumper, unfolded
    glass_side    end of the rear window in the side view
    doors         front door from, to; rear door to (same when there is none)
    wheels        centres of the wheels
    cowl_h, roof_h, rear_h, deck_h  heights of cowl, roof, roof's end and tail
    bed           from, to of a load bed, or None
    """

    cowl: float
    screen: float
    roof: float
    glass: float
    lid: float
    tail: float
    glass_side: float
    doors: tuple[float, float, float]
    wheels: tuple[float, float]
    cowl_h: float
    roof_h: float
    rear_h: float
    deck_h: float
    bed: tuple[float, float] | None = None


# One body a line group, so that they can be compared.
# fmt: off
SHAPES: Mapping[Body, Shape] = {
    Body.SEDAN: Shape(
        cowl=158, screen=212, roof=326, glass=384, lid=452, tail=482, glass_side=398,
        doors=(156, 252, 338), wheels=(90, 378), cowl_h=90, roof_h=138, rear_h=132,
        deck_h=95),
    Body.HATCH: Shape(
        cowl=146, screen=204, roof=368, glass=412, lid=466, tail=496, glass_side=452,
        doors=(148, 250, 340), wheels=(86, 386), cowl_h=93, roof_h=146, rear_h=136,
        deck_h=98),
    Body.ESTATE: Shape(
        cowl=154, screen=210, roof=410, glass=446, lid=500, tail=530, glass_side=466,
        doors=(154, 250, 340), wheels=(90, 380), cowl_h=90, roof_h=138, rear_h=133,
        deck_h=92),
    Body.COUPE: Shape(
        cowl=172, screen=230, roof=324, glass=396, lid=452, tail=482, glass_side=420,
        doors=(174, 296, 296), wheels=(92, 380), cowl_h=86, roof_h=124, rear_h=118,
        deck_h=92),
    Body.SUV: Shape(
        cowl=144, screen=196, roof=408, glass=444, lid=500, tail=530, glass_side=466,
        doors=(146, 246, 342), wheels=(88, 384), cowl_h=104, roof_h=160, rear_h=152,
        deck_h=104),
    Body.VAN: Shape(
        cowl=112, screen=178, roof=432, glass=470, lid=526, tail=556, glass_side=474,
        doors=(134, 232, 344), wheels=(84, 392), cowl_h=106, roof_h=172, rear_h=168,
        deck_h=104),
    Body.PICKUP: Shape(
        cowl=142, screen=190, roof=288, glass=300, lid=474, tail=500, glass_side=304,
        doors=(144, 224, 296), wheels=(86, 384), cowl_h=102, roof_h=156, rear_h=153,
        deck_h=98, bed=(306, 444)),
}
# fmt: on
