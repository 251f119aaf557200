"""What the desk calls each kind of mail, and when it goes (pure)."""

from __future__ import annotations

from collections.abc import Mapping

from jobs.mail.kinds import Kind
from shopapp.say import Say, say

CALLED: Mapping[str, Say] = {
    Kind.ESTIMATE: say("The estimate"),
    Kind.BOOKED: say("Booked"),
    Kind.DAY_BEFORE: say("The day before"),
    Kind.READY: say("The car is ready"),
    Kind.QUESTION: say("We need your answer"),
    Kind.FIRST_WASH: say("First wash"),
    Kind.RECHECK: say("Recheck"),
    "trial": say("A trial"),
}
FILLED_IN: tuple[tuple[str, Say], ...] = (
    ("{name}", say("the customer")),
    ("{car}", say("the car")),
    ("{day}", say("the day that it is about")),
    ("{time}", say("its time")),
    ("{ready}", say("the day when it is to be ready")),
    ("{owed}", say("what is still to pay")),
    ("{link}", say("the customer's page")),
    ("{shop}", say("the shop")),
    ("{phone}", say("its telephone")),
    ("{address}", say("its address")),
)
"""What may stand in a text, for whoever writes one."""
EXAMPLE = {
    "name": "Ana Example",
    "car": "2024 Example GT · grey",
    "ready": "Friday 11 December",
    "owed": "890.00",
    "link": "https://shop.example.com/c/...",
}
"""For a look at the words; an invented customer."""
