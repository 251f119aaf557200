"""The dispensers at hand, and one measured pour (pure)."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

from mixing.dispensers.dosing import (
    Dispenser,
    DispenserKind,
    Dose,
    Substance,
    best_dose,
    readable_below_ml,
    readable_ml,
    unit_of_marks,
)
from mixing.recipes.spec import usual_dispensers
from mixing.sheet.parts import Pour
from mixing.sheet.shelf import Taking
from shopapp.figures import Figure, computed, given
from shopapp.say import Say, say


class CannotPourError(Exception):
    """One vessel cannot be mixed; `sentence` says what to do."""

    def __init__(self, sentence: Say) -> None:
        super().__init__(str(sentence))
        self.sentence = sentence


@dataclass(frozen=True, kw_only=True)
class Bench:
    """The shop's dispensers, and those that a substance is measured with."""

    dispensers: tuple[Dispenser, ...]
    choices: Mapping[Substance, tuple[Dispenser, ...]]
    has: frozenset[Substance]

    def wanting(self, substance: Substance, dispenser: Dispenser) -> Bench:
        """The same bench with one dispenser for one substance."""
        return replace(self, choices={**self.choices, substance: (dispenser,)})


def bench_of(
    dispensers: tuple[Dispenser, ...], *, wanted: Iterable[tuple[Substance, str]] = ()
) -> Bench:
    """A bench; where the shop has no dispenser of its own, the usual one counts.

    wanted  the dispenser wanted for a substance, by its name
    """
    wanted = set(wanted)
    choices, has = {}, set()
    for substance in Substance:
        own = tuple(d for d in dispensers if d.measures and d.takes(substance))
        usual = tuple(d for d in usual_dispensers() if d.takes(substance))
        preferred = tuple(d for d in own if (substance, d.name) in wanted)
        choices[substance] = preferred or own or usual
        if own:
            has.add(substance)
    return Bench(dispensers=dispensers, choices=choices, has=frozenset(has))


def measured(
    substance: Substance,
    target: Figure,
    *,
    vessel: str,
    bench: Bench,
    tolerance_pct: float,
    taking: Taking | None,
    step: int,
    optional: bool = False,
) -> Pour | None:
    """One measured pour.

    vessel    code of the vessel, for the sentence
    taking    the stock container it is drawn from, or None
    step      number of the step
    optional  less than can be read is simply left out (None); otherwise
              CannotPourError says what to do
    """
    most = float("inf") if taking is None else taking.left_ml
    made = None
    if target.value > 0:
        made = best_dose(
            target_ml=target.value,
            dispensers=bench.choices[substance],
            tolerance_pct=tolerance_pct,
            most_ml=most,
        )
    if made is None or made.amount_ml <= 0:
        if optional:
            return None
        raise CannotPourError(_too_small(vessel, substance, target, made))
    used = made.dispenser
    graduation = given(used.graduation_ml, "dose_ml", f"marks of the {used.name}")
    amount = _amount(made, target, most, graduation)
    stock = None if taking is None else taking.stock
    code = "" if stock is None else stock.container.code
    is_alcohol = substance is Substance.ALCOHOL
    return Pour(
        step=step,
        substance=substance,
        target=target,
        amount=amount,
        to_mark=False,
        dispenser=used.name,
        dispenser_kind=used.kind,
        graduation=graduation,
        fills=made.fills,
        container=code,
        lot="" if stock is None else stock.container.lot,
        strength=stock.vv if stock is not None and is_alcohol else None,
        how=_how(substance, amount, made, code),
    )


def _amount(made: Dose, target: Figure, most_ml: float, graduation: Figure) -> Figure:
    unit = unit_of_marks(made.dispenser.graduation_ml)
    limits = (made.low_ml, made.high_ml)
    if made.capped:
        left = given(most_ml, "ml", "left in the container")
        return computed(
            readable_below_ml, unit, limits, available_ml=left, graduation_ml=graduation
        )
    return computed(
        readable_ml, unit, limits, target_ml=target, graduation_ml=graduation
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
_DRAWS = {
    DispenserKind.SYRINGE: " It takes {fills} draws.",
    DispenserKind.JUG: " It takes {fills} fills.",
}


def _how(substance: Substance, amount: Figure, made: Dose, container: str) -> Say:
    used = made.dispenser
    if used.is_counted and substance is Substance.SOAP:
        return say(_HOW_COUNTED, amount=amount, count=made.fills, dispenser=used.name)
    pattern = (_HOW_FROM if container else _HOW)[substance]
    known: dict[str, Figure | str | int] = {"amount": amount, "dispenser": used.name}
    if container:
        known["container"] = container
    if made.fills > 1 and used.kind in _DRAWS:
        pattern += _DRAWS[used.kind]
        known["fills"] = made.fills
    return say(pattern, **known)
