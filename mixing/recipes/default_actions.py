"""What a new shop's bench starts with. Loads only where nothing is yet."""

from __future__ import annotations

from mixing.dispensers.actions import load_dispensers
from mixing.models import Kind, KindMark
from mixing.recipes.actions import load_recipes
from shopapp.frame import Act, action

SHAPES = {
    Kind.SLIP: KindMark.Shape.CIRCLE,
    Kind.TACK: KindMark.Shape.TRIANGLE,
    Kind.ALL_IN_ONE: KindMark.Shape.SQUARE,
    Kind.GEL: KindMark.Shape.DIAMOND,
}


@action("mixing.defaults")
def load_defaults(act: Act) -> None:
    """Recipes of the trade, usual dispensers, a shape for each kind."""
    load_recipes(act)
    load_dispensers()
    if not KindMark.objects.exists():
        for kind, shape in SHAPES.items():
            KindMark.objects.create(kind=kind.value, shape=shape.value)
