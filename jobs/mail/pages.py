"""Mail: what goes by itself, in which words; texts; and the log of a car."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import formats, timezone, translation
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_GET, require_POST

from jobs.mail.actions import text_customer
from jobs.mail.forms import KindForm, MailRuleForm, TrialForm, WordsForm
from jobs.mail.kind_says import CALLED, EXAMPLE, FILLED_IN
from jobs.mail.kinds import LANGUAGES, PLACES, Kind, Words
from jobs.mail.queries import (
    DAY,
    filled_words,
    last_trial,
    mail_rule,
    sender,
    sms_address,
    words_of,
)
from jobs.models import Customer, MailWords
from jobs.public.link_pages import Owner, of_booking, of_estimate, of_order
from jobs.public.link_queries import address_of, is_reachable, token_of
from shopapp.access import allow
from shopapp.models import the_shop
from shopapp.pressing import Bound, form_for, press


@require_GET
@allow("shop.view")
def mail_settings(request: HttpRequest, *, bound: Bound | None = None) -> HttpResponse:
    """What goes by itself, where to, and whether the mail server answers."""
    row = mail_rule()
    context = {
        "bound": bound,
        "form": form_for(
            lambda: MailRuleForm(initial=MailRuleForm.initial_of(row)),
            bound,
            "mail_change",
        ),
        "trial_form": form_for(TrialForm, bound, "mail_try"),
        "trial": last_trial(),
        "sender": sender(),
        "is_reachable": is_reachable(),
        "kinds": [(kind.value, CALLED[kind]) for kind in Kind],
    }
    return render(request, "jobs/mail/mail_settings.html", context)


@require_GET
@allow("shop.view")
def mail_words(
    request: HttpRequest, kind: str, language: str, *, bound: Bound | None = None
) -> HttpResponse:
    """The words of one kind in one language, and how they read."""
    known_words(kind, language)
    words = words_of(Kind(kind), language)
    form = form_for(
        lambda: WordsForm(
            initial={
                "subject": words.subject,
                "words": words.words,
                "text": words.text,
            }
        ),
        bound,
        "mail_reword",
        kind=kind,
        language=language,
    )
    return _worded(request, kind, language, form=form, words=words, bound=bound)


@require_POST
@allow("mail.reword")
def mail_look(request: HttpRequest, kind: str, language: str) -> HttpResponse:
    """How the words would read. Nothing is kept."""
    known_words(kind, language)
    form = WordsForm(request.POST)
    words = Words(**{name: request.POST.get(name, "") for name in form.fields})
    return _worded(request, kind, language, form=form, words=words, bound=None)


def known_words(kind: str, language: str) -> dict[str, str]:
    """The words that an address names, or 404."""
    if kind not in list(Kind) or language not in LANGUAGES:
        raise Http404
    return {"kind": kind, "language": language}


def _worded(
    request: HttpRequest,
    kind: str,
    language: str,
    *,
    form: Any,
    words: Words,
    bound: Bound | None,
) -> HttpResponse:
    own = MailWords.objects.filter(kind=kind, language=language).exists()
    unknown = words.unknown()
    context = {
        "bound": bound,
        "form": form,
        "kind": kind,
        "called": CALLED[kind],
        "language": language,
        "languages": [
            (code, name)
            for code, name in Customer.Language.choices
            if code in LANGUAGES
        ],
        "is_own": own,
        "filled_in": FILLED_IN,
        "unknown": ", ".join(unknown),
        "shown": None if unknown else words.filled(_example(language)),
    }
    return render(request, "jobs/mail/mail_words.html", context)


def _example(language: str) -> dict[str, str]:
    shop, soon = the_shop(), timezone.localtime() + timedelta(days=8)
    with translation.override(language):
        day = formats.date_format(soon, DAY[language])
    known = {"shop": shop.name, "phone": shop.phone, "day": day, "time": "09:00"}
    known |= {"address": ", ".join(shop.address.splitlines()), "ready": day}
    return dict.fromkeys(PLACES, "") | EXAMPLE | known


@require_POST
@never_cache
@allow("mail.text")
def mail_text(request: HttpRequest, pk: int) -> HttpResponse:
    """A text about an order, to be sent from this telephone."""
    return _texted(request, of_order(pk))


@require_POST
@never_cache
@allow("mail.text")
def booking_mail_text(request: HttpRequest, pk: int) -> HttpResponse:
    """A text about a booking."""
    return _texted(request, of_booking(pk))


@require_POST
@never_cache
@allow("mail.text")
def estimate_mail_text(request: HttpRequest, pk: int) -> HttpResponse:
    """A text about an estimate."""
    return _texted(request, of_estimate(pk))


def _texted(request: HttpRequest, owner: Owner) -> HttpResponse:
    key, row = request.POST.get("key", ""), owner.row
    form = KindForm(request.POST)
    answer = press(
        request, text_customer, page=owner.page, form=form, link_key=key, **owner.fact
    )
    if answer.status_code != 303:
        return answer
    kind = Kind(form.cleaned_data["kind"])
    link = address_of(token_of(key=key)) if is_reachable() else ""
    words = filled_words(row, kind, link=link, customer=row.customer)
    context = {
        "row": row,
        "words": words.text,
        "sms": sms_address(row.customer, words.text),
        "is_reachable": is_reachable(),
        "called": CALLED[kind],
        "back": owner.back,
    }
    return render(request, "jobs/mail/text_ready.html", context)
