"""What a shop writes to its customers, and the words it begins with (pure)."""

from __future__ import annotations

import string
from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum

LANGUAGES = ("en", "es")


class Kind(StrEnum):
    """What a mail or a text is about."""

    ESTIMATE = "estimate"
    BOOKED = "booked"
    DAY_BEFORE = "day_before"
    READY = "ready"
    QUESTION = "question"
    FIRST_WASH = "first_wash"
    RECHECK = "recheck"


PLACES = frozenset(
    {"name", "car", "day", "time", "ready", "owed", "link"}
    | {"shop", "phone", "address"}
)
"""What is filled in: the customer, the car, when, what is owed, and the shop."""


@dataclass(frozen=True, kw_only=True)
class Words:
    """A mail's subject and words, and the shorter words of a text message.

    A `{name}` in braces is one of `PLACES`. A line that needs what there is not, a
    link that no phone can reach, is left out.
    """

    subject: str
    words: str
    text: str

    def unknown(self) -> list[str]:
        """What stands in braces and is none of `PLACES`, or is never closed."""
        found: list[str] = []
        for part in (self.subject, self.words, self.text):
            found += _unknown(part)
        return list(dict.fromkeys(found))

    def filled(self, facts: Mapping[str, str]) -> Words:
        """The words for one customer. `facts` has a text for each of `PLACES`."""
        return Words(
            subject=_filled(self.subject, facts).replace("\n", " "),
            words=_filled(self.words, facts),
            text=_filled(self.text, facts),
        )


def _unknown(text: str) -> list[str]:
    try:
        parts = list(string.Formatter().parse(text))
    except ValueError:
        return ["{ }"]
    return [
        "{" + name + (f"!{turned}" if turned else "") + (f":{how}" if how else "") + "}"
        for _, name, how, turned in parts
        if name is not None and (name not in PLACES or how or turned)
    ]


def _filled(text: str, facts: Mapping[str, str]) -> str:
    lines = []
    for line in text.splitlines():
        asked = {name for _, name, _, _ in string.Formatter().parse(line) if name}
        if all(facts[name] for name in asked):
            lines.append(line.format_map(facts))
    return "\n".join(lines).strip()


USUAL: Mapping[tuple[Kind, str], Words] = {
    (Kind.ESTIMATE, "en"): Words(
        subject="Your estimate: {car}",
        words="""Hello {name},

we have made an estimate for your car: {car}. It holds until {day}.
Read it here; a yes on that page is enough for us to book it: {link}
Questions? Call {phone}.

{shop}""",
        text="{shop}: our estimate for your {car}.\n{link}",
    ),
    (Kind.ESTIMATE, "es"): Words(
        subject="Su presupuesto: {car}",
        words="""Hola, {name}:

hicimos un presupuesto para su auto: {car}. Vale hasta el {day}.
Léalo aquí; con un sí en esa página basta para reservarlo: {link}
¿Preguntas? Llame al {phone}.

{shop}""",
        text="{shop}: nuestro presupuesto para su {car}.\n{link}",
    ),
    (Kind.BOOKED, "en"): Words(
        subject="{car}: booked for {day}",
        words="""Hello {name},

your car is booked: {car}.
Please bring it on {day} at {time}.
We expect it to be ready on {ready}.
You need not wash it: we do. No wax, please, and take your things out of it.

Where: {address}
All about it, and the date for your calendar: {link}
Another day suits you better? Call {phone}.

{shop}""",
        text="{shop}: your {car} is booked for {day}, {time}.\n{link}",
    ),
    (Kind.BOOKED, "es"): Words(
        subject="{car}: cita para el {day}",
        words="""Hola, {name}:

su auto tiene cita: {car}.
Tráigalo el {day} a las {time}.
Calculamos que estará listo el {ready}.
No hace falta lavarlo: lo hacemos nosotros. Sin cera, por favor, y saque sus cosas.

Dónde: {address}
Todos los datos y la fecha para su calendario: {link}
¿Le conviene otro día? Llame al {phone}.

{shop}""",
        text="{shop}: su {car} tiene cita para el {day}, {time}.\n{link}",
    ),
    (Kind.DAY_BEFORE, "en"): Words(
        subject="Tomorrow: {car}, {time}",
        words="""Hello {name},

we expect your car, {car}, on {day} at {time}.

Where: {address}
All about it: {link}
Something came up? Call {phone}.

{shop}""",
        text="{shop}: we expect your {car} on {day}, {time}.\n{link}",
    ),
    (Kind.DAY_BEFORE, "es"): Words(
        subject="Mañana: {car}, {time}",
        words="""Hola, {name}:

esperamos su auto, {car}, el {day} a las {time}.

Dónde: {address}
Todos los datos: {link}
¿Surgió algo? Llame al {phone}.

{shop}""",
        text="{shop}: esperamos su {car} el {day}, {time}.\n{link}",
    ),
    (Kind.READY, "en"): Words(
        subject="{car} is ready",
        words="""Hello {name},

your car is ready: {car}.
To pay: {owed}
Come when it suits you while we are open: {address}

What to look after in the first weeks: {link}
Questions? Call {phone}.

{shop}""",
        text="{shop}: your {car} is ready.\n{link}",
    ),
    (Kind.READY, "es"): Words(
        subject="{car} está listo",
        words="""Hola, {name}:

su auto está listo: {car}.
Por pagar: {owed}
Venga cuando le convenga en nuestro horario: {address}

Qué cuidar en las primeras semanas: {link}
¿Preguntas? Llame al {phone}.

{shop}""",
        text="{shop}: su {car} está listo.\n{link}",
    ),
    (Kind.QUESTION, "en"): Words(
        subject="{car}: we need your answer",
        words="""Hello {name},

we have a question about your car, {car}, and wait for your yes or no.
Please answer here: {link}
Or call {phone}.

{shop}""",
        text="{shop}: we need your answer about your {car}.\n{link}",
    ),
    (Kind.QUESTION, "es"): Words(
        subject="{car}: necesitamos su respuesta",
        words="""Hola, {name}:

tenemos una pregunta sobre su auto, {car}, y esperamos su sí o su no.
Responda aquí, por favor: {link}
O llame al {phone}.

{shop}""",
        text="{shop}: necesitamos su respuesta sobre su {car}.\n{link}",
    ),
    (Kind.FIRST_WASH, "en"): Words(
        subject="{car}: from today it may be washed",
        words="""Hello {name},

from {day} on your car may be washed: {car}.
By hand, with mild shampoo; keep a pressure washer away from the film's edges.
All that helps the film: {link}
Something looks odd? Call {phone}.

{shop}""",
        text="{shop}: from today your {car} may be washed.\n{link}",
    ),
    (Kind.FIRST_WASH, "es"): Words(
        subject="{car}: desde hoy se puede lavar",
        words="""Hola, {name}:

desde el {day} su auto se puede lavar: {car}.
A mano, con champú suave; no acerque la hidrolavadora a los bordes de la película.
Todo lo que ayuda a la película: {link}
¿Algo se ve raro? Llame al {phone}.

{shop}""",
        text="{shop}: desde hoy su {car} se puede lavar.\n{link}",
    ),
    (Kind.RECHECK, "en"): Words(
        subject="{car}: we look at the film again",
        words="""Hello {name},

we look at the film of your car again: {car}, {day} at {time}.

Where: {address}
Another day: {link}
Or call {phone}.

{shop}""",
        text="{shop}: we look at your {car} again on {day}, {time}.\n{link}",
    ),
    (Kind.RECHECK, "es"): Words(
        subject="{car}: revisamos la película",
        words="""Hola, {name}:

revisamos la película de su auto: {car}, el {day} a las {time}.

Dónde: {address}
Otro día: {link}
O llame al {phone}.

{shop}""",
        text="{shop}: revisamos su {car} el {day}, {time}.\n{link}",
    ),
}
"""The words that a shop begins with; it changes them in its settings."""
