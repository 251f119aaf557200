"""The dispensers at hand, and one measured pour (pure)."""

from __future__ import annotations

from dataclasses import dataclass, replace

from mixing.dosing import (
    Dispenser,
    Dose,
    Substance,
    best_dose,
    readable_below_ml,
    readable_ml,
)
from mixing.parts import Pour, computed
from mixing.recipes import usual_dispensers
from mixing.shelf import Taking
from shopapp.figures import Figure, given
from shopapp.say import Say, say


class CannotPourError(Exception):
    """One vessel cannot be mixed; `sentence` says what to do."""

    def __init__(self, sentence: Say) -> None:
        super().__init__(str(sentence))
        self.sentence = sentence


@dataclass(frozen=True, kw_only=True)
class Bench:
    """The dispensers at hand, and the one wanted for a substance, by name."""

    dispensers: tuple[Dispenser, ...]
    wanted: tuple[tuple[Substance, str], ...] = ()

    def for_substance(self, substance: Substance) -> tuple[Dispenser, ...]:
        """Dispensers that may measure it; the usual ones where the shop has none."""
        own = tuple(d for d in self.dispensers if d.measures and d.takes(substance))
        names = [name for wanted, name in self.wanted if wanted is substance]
        preferred = tuple(d for d in own if d.name in names)
        usual = tuple(d for d in usual_dispensers() if d.takes(substance))
        return preferred or own or usual

    def has(self, substance: Substance) -> bool:
        """Has the shop a dispenser of its own for it?"""
        return any(d.measures and d.takes(substance) for d in self.dispensers)

    def wanting(self, substance: Substance, name: str) -> Bench:
        """The same bench with another dispenser wanted for one substance."""
        others = tuple(pair for pair in self.wanted if pair[0] is not substance)
        return replace(self, wanted=(*others, (substance, name)))


def measured(
    substance: Substance,
    target: Figure,
    *,
    vessel: str,
    bench: Bench,
    tolerance_pct: float,
    taking: Taking | None,
    optional: bool = False,
) -> Pour | None:
    """One measured pour.

    vessel    code of the vessel, for the sentence
    taking    the stock container it is drawn from, or None
    optional  less than can be read is simply left out (None); otherwise
              CannotPourError says what to do
    """
    most = float("inf") if taking is None else taking.left_ml
    made = None
    if target.value > 0:
        made = best_dose(
            target_ml=target.value,
            substance=substance,
            dispensers=bench.for_substance(substance),
            tolerance_pct=tolerance_pct,
            most_ml=most,
        )
    if made is None or made.amount_ml <= 0:
        if optional:
            return None
        raise CannotPourError(_too_small(vessel, substance, target, made))
    used = made.dispenser
    container = None if taking is None else taking.stock.container
    amount = _amount(made, target, most, _unit(made))
    return Pour(
        step=0,
        substance=substance,
        target=target,
        amount=amount,
        to_mark=False,
        dispenser=used.name,
        dispenser_kind=used.kind,
        graduation=given(used.graduation_ml, "dose_ml", f"marks of the {used.name}"),
        fills=made.fills,
        container="" if container is None else container.code,
        lot="" if container is None else container.lot,
        strength=taking.stock.vv
        if taking is not None and substance is Substance.ALCOHOL
        else None,
        how=_how(substance, amount, made, "" if container is None else container.code),
    )


def _unit(made: Dose) -> str:
    """A dose off a syringe is shown in mL everywhere, also in US units."""
    return "dose_ml" if made.dispenser.graduation_ml < 1 else "ml"


def _amount(made: Dose, target: Figure, most_ml: float, unit: str) -> Figure:
    graduation = given(
        made.dispenser.graduation_ml, "dose_ml", f"marks of the {made.dispenser.name}"
    )
    if made.capped:
        return computed(
            readable_below_ml,
            unit,
            (made.low_ml, made.high_ml),
            available_ml=given(most_ml, "ml", "left in the container"),
            graduation_ml=graduation,
        )
    return computed(
        readable_ml,
        unit,
        (made.low_ml, made.high_ml),
        target_ml=target,
        graduation_ml=graduation,
    )


def _too_small(
    code: str, substance: Substance, target: Figure, made: Dose | None
) -> Say:
    vessel = code or "This bottle"
    if made is None:
        return say(
            "{vessel} has no room for {substance}: check the strength of the stock.",
            vessel=vessel,
            substance=substance.value,
        )
    return say(
        "{vessel} is too small: its {target} of {substance} is less than the "
        "{dispenser} can show ({graduation}). Take a larger vessel or a finer "
        "dispenser.",
        vessel=vessel,
        target=target,
        substance=substance.value,
        dispenser=made.dispenser.name,
        graduation=given(
            made.dispenser.graduation_ml, "dose_ml", f"marks of {made.dispenser.name}"
        ),
    )


# Whole sentences, one for each case, because they are translated whole.
_HOW = {
    Substance.WATER: "Pour {amount} of water with the {dispenser}.",
    Substance.ALCOHOL: "Pour {amount} of alcohol with the {dispenser}.",
    Substance.SOAP: "Add {amount} of baby shampoo with the {dispenser}.",
    Substance.GEL: "Draw {amount} of gel with the {dispenser}.",
}
_HOW_FROM = {
    Substance.WATER: "Pour {amount} of water from {container} with the {dispenser}.",
    Substance.ALCOHOL: "Pour {amount} of alcohol from {container} with the "
    "{dispenser}.",
    Substance.SOAP: "Add {amount} of baby shampoo from {container} with the "
    "{dispenser}.",
    Substance.GEL: "Draw {amount} of gel from {container} with the {dispenser}.",
}
_HOW_COUNTED = "Add {amount} of baby shampoo: {count} of the {dispenser}."


def _how(substance: Substance, amount: Figure, made: Dose, container: str) -> Say:
    name = made.dispenser.name
    if made.dispenser.is_counted and substance is Substance.SOAP:
        return say(_HOW_COUNTED, amount=amount, count=made.fills, dispenser=name)
    if container:
        pattern = _HOW_FROM[substance]
        return say(pattern, amount=amount, container=container, dispenser=name)
    return say(_HOW[substance], amount=amount, dispenser=name)
