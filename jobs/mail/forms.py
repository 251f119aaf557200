"""What is sent by itself, in which words; what is sent by a press."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from jobs.mail.kinds import Kind
from jobs.models import MailRule, MailWords
from shopapp.columns import column

KINDS = [(kind.value, kind.value) for kind in Kind]


class MailRuleForm(forms.Form):
    """What goes by itself."""

    estimate = column(MailRule.estimate, _("When an estimate is made or changed"))
    booked = column(MailRule.booked, _("When a car is booked, or its day is moved"))
    day_before = column(MailRule.day_before, _("The day before it comes"))
    ready = column(MailRule.ready, _("When it is ready"))
    first_wash = column(MailRule.first_wash, _("When it may be washed first"))
    recheck = column(MailRule.recheck, _("The day before a recheck"))
    day_before_at = column(MailRule.day_before_at, _("On the day before, at"))
    morning_at = column(MailRule.morning_at, _("On the day of the first wash, at"))
    reply_to = column(
        MailRule.reply_to,
        _("Answers, and mails that come back, go to"),
        help_text=_("Left empty: to the shop's own address."),
    )

    @staticmethod
    def initial_of(row: MailRule) -> dict[str, Any]:
        """The rule as it is."""
        return {name: getattr(row, name) for name in MailRuleForm.base_fields}

    def switches(self) -> list[forms.BoundField]:
        """What goes, each to be ticked."""
        names = ("estimate", "booked", "day_before", "ready", "first_wash", "recheck")
        return [self[name] for name in names]

    def others(self) -> list[forms.BoundField]:
        """When, and where answers come."""
        return [self[name] for name in ("day_before_at", "morning_at", "reply_to")]


class TrialForm(forms.Form):
    """Whom a trial goes to."""

    to = forms.EmailField(label=_("Send a trial to"), max_length=254)


class WordsForm(forms.Form):
    """Subject, mail and text message of one kind in one language."""

    subject = column(MailWords.subject, _("Subject"))
    words = column(
        MailWords.words,
        _("Mail"),
        strip=True,
        widget=forms.Textarea(attrs={"rows": 14}),
    )
    text = column(
        MailWords.text,
        _("Text message"),
        widget=forms.Textarea(attrs={"rows": 3}),
    )


class KindForm(forms.Form):
    """What a mail or text by hand is about."""

    kind = forms.ChoiceField(choices=KINDS, widget=forms.HiddenInput)


class HowForm(forms.Form):
    """What becomes of a mail that did not go."""

    how = forms.ChoiceField(
        choices=[("seen_to", "seen_to"), ("again", "again")], widget=forms.HiddenInput
    )
