"""What a new shop needs, in order (pure)."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from shopapp.say import Say, say


class Step(StrEnum):
    """One thing that a shop has before its first car."""

    SHOP = "shop"
    PLACES = "places"
    PEOPLE = "people"
    FILM = "film"
    SOLUTIONS = "solutions"
    BOTTLES = "bottles"
    SHELF = "shelf"
    WATER = "water"
    PRICES = "prices"


@dataclass(frozen=True, kw_only=True)
class StepText:
    """What a step is called, what is taken over by one press, where more is set.

    defaults  what one press writes; None where only a person knows it
    """

    title: Say
    why: Say
    icon: str
    settings: tuple[tuple[Say, str], ...]
    defaults: Say | None = None


STEPS: dict[Step, StepText] = {
    Step.SHOP: StepText(
        title=say("Name, address, telephone, mail"),
        why=say("They stand on every paper. Hours, units and paper are set with them."),
        icon="home",
        settings=((say("All of the shop"), "shopapp:shop_settings"),),
    ),
    Step.PLACES: StepText(
        title=say("Bays and yard"),
        why=say("Where film is laid, and where cars stand beside."),
        icon="bay",
        settings=(
            (say("Bays"), "mixing:bays"),
            (say("Places"), "shopapp:places"),
        ),
        defaults=say("Bay 1, and a Yard outdoors for 4 cars."),
    ),
    Step.PEOPLE: StepText(
        title=say("People"),
        why=say(
            "Whoever lays film, preps and stands at the desk. You are one of them."
        ),
        icon="people",
        settings=((say("Add somebody"), "shopapp:people"),),
    ),
    Step.FILM: StepText(
        title=say("A film and its first roll"),
        why=say("A car is booked in a film, and film is taken from a roll."),
        icon="film",
        settings=((say("Film"), "jobs:film"),),
        defaults=say("Clear gloss 8 mil, and its roll R01 of 60 in x 50 ft."),
    ),
    Step.SOLUTIONS: StepText(
        title=say("Solutions that you use"),
        why=say("Sheets, cards and bottles count only with these."),
        icon="mix",
        settings=((say("Solutions and how long they keep"), "jobs:laying"),),
    ),
    Step.BOTTLES: StepText(
        title=say("Bottles"),
        why=say("A bottle keeps one solution for life."),
        icon="drop",
        settings=((say("Bottles"), "mixing:vessels"),),
        defaults=say("A 32 fl oz (946 mL) spray bottle for each solution: S1, T1, A1."),
    ),
    Step.SHELF: StepText(
        title=say("Alcohol and soap"),
        why=say("What solutions are mixed from."),
        icon="flask",
        settings=((say("Products and containers"), "mixing:stock"),),
        defaults=say(
            "A gallon of 70 % v/v isopropyl alcohol, a bottle of baby shampoo, open."
        ),
    ),
    Step.WATER: StepText(
        title=say("Water"),
        why=say("Hard water leaves spots under film."),
        icon="drop",
        settings=((say("A test of the water"), "mixing:water"),),
        defaults=say("Distilled water, bought; no test needed."),
    ),
    Step.PRICES: StepText(
        title=say("Prices"),
        why=say("One price fills the list, by a factor for each package and size."),
        icon="money",
        settings=((say("The price list"), "jobs:prices"),),
    ),
}
