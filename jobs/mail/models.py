"""What was written to customers, and how a shop writes."""

from __future__ import annotations

import secrets
from datetime import time
from typing import ClassVar

from django.db import models
from django.db.models import Q
from django.utils import timezone

from jobs.bookings.models import Booking
from jobs.estimates.models import CustomerEstimate
from jobs.mail.kind_says import CALLED
from jobs.mail.kinds import Kind, Words
from jobs.workorders.models import WorkOrder
from shopapp.models import Person
from shopapp.say import Say


def new_key() -> str:
    """Of which a mail's link is made: the same key, the same address."""
    return secrets.token_hex(16)


class Mail(models.Model):
    """One mail or text: what about, to whom, how far it is. Never sent twice.

    about     "booking 17", "workorder 5" or "estimate 3", "" for a trial
    due       the moment that it is about: with kind and row it is there once
    not_after later it is of no use and is dropped
    next_at   when it is tried, or tried again
    said      why it did not go: the server's own words, or ours
    """

    lock_rank: ClassVar[int] = 66

    class State(models.TextChoices):
        WAITING = "waiting", "waits"
        SENDING = "sending", "is on its way"
        SENT = "sent", "sent"
        REFUSED = "refused", "not sent"
        UNSURE = "unsure", "perhaps sent"
        DROPPED = "dropped", "left out"

    class Way(models.TextChoices):
        MAIL = "mail", "e-mail"
        TEXT = "text", "text message"

    kind = models.CharField(
        max_length=12,
        choices=[(kind.value, kind.value) for kind in Kind] + [("trial", "trial")],
    )
    way = models.CharField(max_length=4, choices=Way.choices, default=Way.MAIL)
    booking = models.ForeignKey(
        Booking, on_delete=models.PROTECT, null=True, related_name="mails"
    )
    workorder = models.ForeignKey(
        WorkOrder, on_delete=models.PROTECT, null=True, related_name="mails"
    )
    estimate = models.ForeignKey(
        CustomerEstimate, on_delete=models.PROTECT, null=True, related_name="mails"
    )
    about = models.CharField(max_length=40)
    due = models.DateTimeField()
    not_after = models.DateTimeField()
    next_at = models.DateTimeField()
    state = models.CharField(max_length=8, choices=State.choices, default=State.WAITING)
    to = models.CharField(max_length=254, blank=True)
    key = models.CharField(max_length=64, default=new_key)
    tries = models.PositiveSmallIntegerField(default=0)
    said = models.CharField(max_length=300, blank=True)
    asked_by = models.ForeignKey(
        Person, on_delete=models.PROTECT, null=True, related_name="+"
    )
    asked_at = models.DateTimeField(default=timezone.now)
    ended_at = models.DateTimeField(null=True, blank=True)
    settled_by = models.ForeignKey(
        Person, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    settled_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["kind", "way", "about", "due"], name="mail_once"
            )
        ]
        indexes = [
            models.Index(
                fields=["next_at"],
                condition=Q(state__in=["waiting", "sending"]),
                name="mail_waits",
            ),
            models.Index(
                fields=["ended_at"],
                condition=Q(state__in=["refused", "unsure"], settled_at__isnull=True),
                name="mail_to_see_to",
            ),
        ]

    def __str__(self) -> str:
        return f"mail {self.pk}"

    @property
    def called(self) -> Say:
        """What the desk calls it."""
        return CALLED[self.kind]

    @property
    def row(self) -> Booking | WorkOrder | CustomerEstimate | None:
        """What it is about."""
        return self.workorder or self.booking or self.estimate


class MailRule(models.Model):
    """What goes by itself, when, where answers come. A migration makes its row.

    since  nothing that happened before is written about
    """

    estimate = models.BooleanField("when an estimate is made", default=False)
    booked = models.BooleanField("when a car is booked, or its day moved", default=True)
    day_before = models.BooleanField("the day before it comes", default=True)
    ready = models.BooleanField("when it is ready", default=True)
    first_wash = models.BooleanField("when it may be washed first", default=False)
    recheck = models.BooleanField("the day before a recheck", default=False)
    day_before_at = models.TimeField("on the day before, at", default=time(16))
    morning_at = models.TimeField("on the day of the first wash, at", default=time(9))
    reply_to = models.EmailField("answers and bounces go to", blank=True)
    since = models.DateTimeField(default=timezone.now)

    def __str__(self) -> str:
        return "mail"


class MailWords(models.Model):
    """The shop's own words of one kind in one language."""

    kind = models.CharField(
        max_length=12, choices=[(kind.value, kind.value) for kind in Kind]
    )
    language = models.CharField(max_length=2)
    subject = models.CharField(max_length=200)
    words = models.TextField("mail", max_length=3000)
    text = models.TextField("text message", max_length=400)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["kind", "language"], name="mail_words_once")
        ]

    def __str__(self) -> str:
        return f"{self.kind}, {self.language}"

    @property
    def as_words(self) -> Words:
        """As the pure rooms know them."""
        return Words(subject=self.subject, words=self.words, text=self.text)
