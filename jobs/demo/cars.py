"""Invented cars and their owners. Numbers are reserved, makes do not exist."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from jobs.coverage.catalogue import (
    Body,
    Method,
    Package,
    PanelChoice,
    package_panels,
    panels,
)


@dataclass(frozen=True, kw_only=True)
class Wish:
    """What was fixed: the bay by its number, who lays the film on the day it comes."""

    bay: int
    who: str = ""


@dataclass(frozen=True, kw_only=True)
class Car:
    """A car of the demo shop, as the desk types it.

    comes      working days from today, and the hour; None: it is here, or was
    leaves_in  days after which its customer must have it, whatever the plan says
    """

    owner: str
    phone: str
    plate: str
    make: str
    model: str
    year: int
    size_class: str
    body: str
    colour: str
    finish: str
    package: Package = Package.FULL_FRONT
    vin: str = ""
    vin_reason: str = ""
    notes: str = ""
    is_account: bool = False
    order_number: str = ""
    price: int = 1890
    film: str = "FA"
    added: tuple[tuple[str, int, str, str, int], ...] = ()
    method: Method = Method.HAND_FITTED
    single_panels: tuple[str, ...] = ()
    comes: tuple[int, int] | None = None
    wish: Wish | None = None
    leaves_in: int | None = None

    @property
    def choices(self) -> tuple[PanelChoice, ...]:
        """The panels agreed."""
        codes = self.single_panels or package_panels(self.package, body=Body(self.body))
        return tuple(
            PanelChoice(panel=code, method=self.method, edge=panels()[code].edge)
            for code in codes
        )


FULL, PART = Package.FULL_FRONT, Package.PARTIAL_FRONT
WHOLE, TRACK, SINGLE = Package.FULL_VEHICLE, Package.TRACK, Package.SINGLE_PANELS


def _car(owner: str, phone: str, plate: str, name: str, looks: str, **more: Any) -> Car:
    make, model, year, size_class, body = name.split("|")
    colour, finish = looks.split("|")
    return Car(
        owner=owner,
        phone=f"555-01{phone}",
        plate=plate,
        make=make,
        model=model,
        year=int(year),
        size_class=size_class,
        body=body,
        colour=colour,
        finish=finish,
        **more,
    )


CLOSED: tuple[Car, ...] = (
    _car(
        "Ines Marlow",
        "01",
        "KTR 4821",
        "Orrery|Vantor|2024|D|sedan",
        "slate blue|metallic",
    ),
    _car(
        "Theo Banks",
        "02",
        "7 HLM 302",
        "Calder|Fenwick|2025|JC|suv",
        "bone white|solid",
        price=2150,
    ),
    _car(
        "Odile Farrow",
        "03",
        "PQN 5518",
        "Lindqvist|Aria|2023|C|hatch",
        "cherry|pearl",
        package=PART,
        price=890,
    ),
    _car(
        "Sam Whitlock",
        "04",
        "LAN 1180",
        "Orrery|Solstice|2026|S|coupe",
        "graphite|metallic",
        package=TRACK,
        price=2650,
    ),
    _car(
        "Hollow Creek Motors",
        "40",
        "DLR 204",
        "Calder|Fenwick|2026|JC|suv",
        "forest|metallic",
        is_account=True,
        order_number="HC-5521",
        price=1990,
    ),
    _car(
        "Priya Dunmore",
        "05",
        "MVX 9034",
        "Tamsin|Courier|2025|P|pickup",
        "sand|solid",
        price=2380,
    ),
    _car(
        "Jonas Ekblad",
        "06",
        "BRT 6620",
        "Lindqvist|Nord|2024|E|estate",
        "pine|metallic",
        package=WHOLE,
        price=5400,
    ),
    _car(
        "Carla Voss",
        "07",
        "GHN 7741",
        "Orrery|Vantor|2022|D|sedan",
        "silver|metallic",
        package=PART,
        price=890,
    ),
    _car(
        "Ruben Stark",
        "08",
        "ZKE 3390",
        "Calder|Lumen|2026|E|sedan",
        "black|solid",
        notes="Front bumper repainted in spring. Wax on the hood.",
        price=2100,
    ),
    _car(
        "Mina Oyelaran",
        "09",
        "SDW 2207",
        "Tamsin|Finch|2025|B|hatch",
        "yellow|solid",
        price=1690,
    ),
    _car(
        "Hollow Creek Motors",
        "40",
        "DLR 219",
        "Calder|Lumen|2026|E|sedan",
        "pearl white|pearl",
        is_account=True,
        order_number="HC-5534",
        price=1990,
    ),
    _car(
        "Walt Greer",
        "10",
        "OYP 8156",
        "Orrery|Atlas|2025|JE|suv",
        "burgundy|metallic",
        price=2450,
    ),
)
"""Cars that were handed over in the weeks before."""

IN_INTAKE = _car(
    "Greta Holm", "11", "VRN 6072", "Orrery|Vantor|2026|D|sedan", "copper|metallic"
)
IN_PREP = _car(
    "Noel Abara",
    "12",
    "TLP 3415",
    "Calder|Fenwick|2024|JC|suv",
    "ink blue|metallic",
    price=2150,
    notes="Ceramic coating on the doors.",
    added=(("one-step correction", 120, "in_prep", "prep", 240),),
)
IN_INSTALL = _car(
    "Edda Lindt", "13", "XRC 5540", "Lindqvist|Aria|2026|C|hatch", "moss|solid"
)
IN_INSPECTION = _car(
    "Ivo Castell",
    "14",
    "HPF 1903",
    "Orrery|Solstice|2025|S|coupe",
    "red|solid",
    package=TRACK,
    price=2650,
)
REDO = _car(
    "Lena Brandt",
    "15",
    "UWA 4476",
    "Tamsin|Courier|2026|P|pickup",
    "grey|metallic",
    price=2380,
)
PAUSED = _car(
    "Otis Quill", "16", "NKB 7708", "Calder|Lumen|2025|E|sedan", "white|solid"
)
SETTLING = _car(
    "Hollow Creek Motors",
    "40",
    "DLR 231",
    "Orrery|Atlas|2026|JE|suv",
    "black|metallic",
    is_account=True,
    order_number="HC-5540",
    price=2290,
)
SETTLED = _car(
    "Faye Torrens",
    "17",
    "CQM 2651",
    "Tamsin|Finch|2026|B|hatch",
    "teal|metallic",
    price=1690,
)

BOOKED: tuple[Car, ...] = (
    _car(
        "Amara Finch",
        "18",
        "WJD 9917",
        "Lindqvist|Nord|2026|E|estate",
        "grey|matte",
        film="FM",
        price=2890,
        comes=(0, 9),
    ),
    _car(
        "Hollow Creek Motors",
        "40",
        "DLR 240",
        "Calder|Fenwick|2026|JC|suv",
        "white|solid",
        is_account=True,
        order_number="HC-5547",
        price=1990,
        comes=(1, 8),
    ),
    _car(
        "Pavel Doran",
        "19",
        "RAY 5083",
        "Orrery|Vantor|2025|D|sedan",
        "blue|metallic",
        comes=(2, 8),
    ),
    _car(
        "Signe Ashby",
        "20",
        "EFT 3628",
        "Tamsin|Finch|2024|B|hatch",
        "lime|solid",
        package=WHOLE,
        price=4300,
        comes=(3, 9),
        wish=Wish(bay=3),
    ),
    _car(
        "Milo Harrow",
        "21",
        "TNC 6149",
        "Tamsin|Finch|2026|B|hatch",
        "plum|metallic",
        package=SINGLE,
        single_panels=("hood",),
        price=420,
        notes="The customer waits.",
        comes=(1, 10),
        leaves_in=0,
    ),
    _car(
        "Renata Solvane",
        "22",
        "JPL 2075",
        "Calder|Lumen|2025|E|sedan",
        "ivory|pearl",
        package=PART,
        method=Method.PRE_CUT,
        price=890,
        comes=(3, 8),
    ),
    _car(
        "Hedda Vale",
        "24",
        "KXM 4530",
        "Lindqvist|Aria|2026|C|hatch",
        "ocean|pearl",
        package=TRACK,
        price=2480,
        comes=(6, 8),
    ),
    _car(
        "Hollow Creek Motors",
        "40",
        "DLR 246",
        "Orrery|Atlas|2026|JE|suv",
        "steel|metallic",
        is_account=True,
        order_number="HC-5551",
        price=2290,
        comes=(8, 8),
    ),
)
"""Cars that arrive today and over the next week and a half."""

ON_THE_DAY_OFF: tuple[Car, ...] = (
    _car(
        "Davit Orlan",
        "23",
        "BQS 8812",
        "Orrery|Solstice|2026|S|coupe",
        "amber|metallic",
        notes="Knows Chidi's work and asked for him. Flies home the next evening.",
        price=2190,
        wish=Wish(bay=2, who="lead"),
        leaves_in=1,
    ),
    _car(
        "Corin Adeyo",
        "25",
        "FVH 7316",
        "Tamsin|Courier|2026|P|pickup",
        "rust|metallic",
        notes="Leaves on a journey in the evening of the next day.",
        price=2380,
        leaves_in=1,
    ),
)
"""Two that must leave the next day, and come on one on which an installer is away."""
