"""How the shop calls a car, with a plate and without one (pure).

By its plate, else its stock number, else colour, model and the last six of the VIN.
"""

from __future__ import annotations

import re

VIN_END = 6
"""Signs of a VIN that tell two cars of one model apart."""


def known_by(*, plate: str, stock_number: str, colour: str, vin: str) -> str:
    """What tells the car apart where its make and model stand beside it.

    >>> known_by(plate="", stock_number="N-4711", colour="black", vin="")
    'N-4711'
    >>> known_by(plate="", stock_number="", colour="black", vin="1M8GDM9AXKP042788")
    'black 042788'
    """
    return plate or stock_number or _joined(colour, vin[-VIN_END:])


def short_name(
    *, plate: str, stock_number: str, colour: str, model: str, vin: str
) -> str:
    """The car's name where it stands alone.

    >>> vin = "1M8GDM9AXKP042788"
    >>> short_name(plate="", stock_number="", colour="black", model="Rover 2", vin=vin)
    'black Rover 2 042788'
    """
    return plate or stock_number or _joined(colour, model, vin[-VIN_END:])


def next_number(number: str) -> str:
    """The number after this one, as long as it was; "" where it ends in no digit.

    >>> next_number("N-0099"), next_number("4711B"), next_number("")
    ('N-0100', '', '')
    """
    counted = re.search(r"[0-9]+$", number)
    if counted is None:
        return ""
    digits = counted.group()
    return number[: counted.start()] + str(int(digits) + 1).zfill(len(digits))


def _joined(*parts: str) -> str:
    return " ".join(part for part in parts if part)
