"""The words: what is filled in, what is left out, what a manager may write."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from jobs.mail.kinds import LANGUAGES, PLACES, USUAL, Kind, Words
from jobs.mail.queries import words_of
from jobs.mail.setting_actions import reword_mail
from jobs.mail.times import PAUSES, next_try
from jobs.models import MailWords
from shopapp.frame import Refused
from tests.jobs.taps import do, page, tap
from tests.makers import NOW

FACTS = {name: f"<{name}>" for name in PLACES}


def words(text):
    return Words(subject=text, words=text, text=text)


@pytest.mark.parametrize("kind", Kind)
@pytest.mark.parametrize("language", LANGUAGES)
def test_the_usual_words_are_there_and_fill_whole(kind, language):
    usual = USUAL[kind, language]
    assert usual.unknown() == []
    filled = usual.filled(FACTS)
    assert "{" not in filled.subject + filled.words + filled.text
    assert "<link>" in filled.words
    assert "<link>" in filled.text
    # A text message of one part holds 160 signs (3GPP TS 23.040), two with a link.
    assert len(usual.text) < 160
    assert len(filled.subject) <= 200


def test_a_line_that_needs_what_there_is_not_is_left_out():
    filled = words("one\nsee {link}\ntwo {name}").filled(FACTS | {"link": ""})
    assert filled.words == "one\ntwo <name>"


@pytest.mark.parametrize(
    "text", ["{nobody}", "{name!r}", "{name:>9}", "{0}", "{}", "{name", "}", "{a.b}"]
)
def test_what_nobody_could_fill_in_is_named(text):
    assert words(text).unknown()


@given(st.text(max_size=60))
def test_whatever_passes_can_be_filled(text):
    if not words(text).unknown():
        words(text).filled(FACTS)


def test_the_pauses_between_tries_grow_and_end_in_time():
    tries = [
        next_try(tries=n, now=NOW, not_after=NOW.replace(year=2032))
        for n in range(1, 9)
    ]
    gaps = [at - NOW for at in tries if at]
    assert gaps[: len(PAUSES)] == list(PAUSES)
    assert gaps[-1] == PAUSES[-1]
    assert next_try(tries=1, now=NOW, not_after=NOW) is None


@pytest.mark.django_db
def test_a_manager_writes_other_words_and_takes_the_usual_ones_again(manager):
    facts = {"kind": "ready", "language": "en"}
    own = {"subject": "{car}", "words": "Come: {address}", "text": "Come."}
    do(manager, reword_mail, **facts, **own)
    assert words_of(Kind.READY, "en") == Words(**own)
    assert words_of(Kind.READY, "es") == USUAL[Kind.READY, "es"]
    do(manager, reword_mail, **facts, subject="", words="", text=" ")
    assert words_of(Kind.READY, "en") == USUAL[Kind.READY, "en"]


@pytest.mark.django_db
def test_an_unknown_place_is_a_sentence_at_its_field_and_what_was_typed_stays(
    client, manager
):
    client.force_login(manager)
    typed = {"subject": "{car}", "words": "Dear {nmae},", "text": "Come."}
    answer = tap(client, "mail_reword", "ready", "en", **typed)
    assert answer.status_code == 422
    said = answer.content.decode()
    assert "{nmae} is not known here." in said
    assert "Dear {nmae}," in said
    assert not MailWords.objects.exists()


@pytest.mark.django_db
def test_the_words_are_looked_at_before_they_are_kept(client, manager):
    client.force_login(manager)
    assert "So it reads" in page(client, "mail_words", "ready", "es")
    typed = {"subject": "{car}!", "words": "For {name}", "text": "T"}
    answer = tap(client, "mail_look", "ready", "en", **typed)
    assert answer.status_code == 200
    assert "For Ana Example" in answer.content.decode()
    assert not MailWords.objects.exists()


@pytest.mark.django_db
def test_an_empty_third_is_refused(manager):
    facts = {"kind": "ready", "language": "en", "words": "w", "text": "t"}
    with pytest.raises(Refused, match="Write something here"):
        do(manager, reword_mail, subject="", **facts)


@pytest.mark.django_db
@pytest.mark.parametrize("where", [("nothing", "en"), ("ready", "fr")])
def test_words_of_no_kind_and_no_language_are_not_there(client, manager, where):
    client.force_login(manager)
    assert client.get(f"/settings/mail/{where[0]}/{where[1]}/").status_code == 404


@pytest.mark.parametrize("language", LANGUAGES)
def test_without_a_link_an_estimates_mail_says_nothing_of_a_page(language):
    usual = USUAL[Kind.ESTIMATE, language]
    filled = usual.filled(FACTS | {"link": ""})
    assert "<car>" in filled.words
    assert not {"page", "página"} & set(filled.words.split())
