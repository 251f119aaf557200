"""A manager sets what goes by itself, when, and in which words."""

from __future__ import annotations

from typing import Any

from jobs.mail.kinds import USUAL, Kind, Words
from jobs.mail.queries import mail_rule
from jobs.models import MailWords
from shopapp.actions import write
from shopapp.frame import Act, Json, Refused, action
from shopapp.models import Shop
from shopapp.say import say

SIGNS = {"subject": 200, "words": 3000, "text": 400}


@action("mail.change")
def change_mail_rule(act: Act, /, **fields: Any) -> Json:
    """Keep what goes by itself. What happened before is not written about."""
    act.lock(Shop, 1)
    row = mail_rule()
    switched_on = any(
        value is True and not getattr(row, name) for name, value in fields.items()
    )
    told = write(row, fields)
    if switched_on:
        row.since = act.now
        row.save(update_fields=["since"])
    return told


@action("mail.reword")
def reword_mail(
    act: Act, *, kind: str, language: str, subject: str, words: str, text: str
) -> Json:
    """Keep the shop's own words; the usual ones again where nothing is left."""
    act.lock(Shop, 1)
    typed = {"subject": subject.strip(), "words": words.strip(), "text": text.strip()}
    row = MailWords.objects.filter(kind=kind, language=language).first()
    if not any(typed.values()):
        if row:
            row.delete()
        return {"name": f"{kind}, {language}"}
    refuse_unknown(typed)
    if row is None:
        usual = USUAL[Kind(kind), language]
        row = MailWords(
            kind=kind,
            language=language,
            subject=usual.subject,
            words=usual.words,
            text=usual.text,
        )
    return {**write(row, typed), "name": f"{kind}, {language}"}


def refuse_unknown(typed: dict[str, str]) -> None:
    """Refuse, at its field, what nobody could fill in."""
    for name, value in typed.items():
        if not value:
            raise Refused(say("Write something here."), field=name)
        if len(value) > SIGNS[name]:
            raise Refused(
                say("That is longer than {most} signs.", most=SIGNS[name]), field=name
            )
        empty = dict.fromkeys(SIGNS, "") | {name: value}
        if unknown := Words(**empty).unknown():
            raise Refused(
                say("{unknown} is not known here.", unknown=", ".join(unknown)),
                field=name,
            )
