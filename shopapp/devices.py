"""Browsers that have been here, and who signed in on them."""

from __future__ import annotations

from typing import ClassVar

from django.db import models
from django.utils import timezone


class Device(models.Model):
    """A browser that has been here before: a wall tablet, the desk's PC.

    On one that a manager has enrolled, a PIN opens the work that it is there for.
    """

    lock_rank: ClassVar[int] = 65

    class Work(models.TextChoices):
        BAY = "bay", "a bay's tablet: the installer's work"
        DESK = "desk", "the desk's PC: the desk's and the installer's work"

    name = models.CharField(max_length=60, blank=True)
    pin_opens = models.CharField(
        max_length=8,
        choices=Work.choices,
        blank=True,
        help_text="Empty: not enrolled, a PIN opens nothing here.",
    )
    enrolled_at = models.DateTimeField(null=True, blank=True)
    enrolled_by = models.ForeignKey(
        "shopapp.Person", on_delete=models.PROTECT, null=True, related_name="+"
    )
    looks_like = models.CharField(max_length=20, blank=True)
    address = models.CharField(max_length=45, blank=True)
    key_hash = models.CharField(max_length=64, unique=True)
    first_seen_at = models.DateTimeField(default=timezone.now)
    clock_offset_s = models.FloatField(
        default=0, help_text="Server time minus device time at the last request."
    )

    def __str__(self) -> str:
        return self.name or f"device {self.pk}"


class SignIn(models.Model):
    """One sign-in, until it ends. A live stream is open only while it lasts."""

    person = models.ForeignKey("shopapp.Person", on_delete=models.PROTECT)
    device = models.ForeignKey(Device, on_delete=models.PROTECT, null=True)
    started_at = models.DateTimeField(default=timezone.now)
    password_at = models.DateTimeField(
        null=True, blank=True, help_text="When it was last typed; empty: a PIN alone."
    )
    seen_at = models.DateTimeField(default=timezone.now)
    ended_at = models.DateTimeField(null=True, blank=True)

    def __str__(self) -> str:
        return f"sign-in {self.pk}"


class FailedSignIn(models.Model):
    """A wrong password or PIN, kept for the manager to see."""

    class Kind(models.TextChoices):
        PASSWORD = "password", "password"
        PIN = "pin", "PIN"

    kind = models.CharField(max_length=10, choices=Kind.choices, default=Kind.PASSWORD)
    person = models.ForeignKey(
        "shopapp.Person",
        on_delete=models.PROTECT,
        null=True,
        help_text="Empty: nobody signs in by the name that was typed.",
    )
    device = models.ForeignKey(Device, on_delete=models.PROTECT, null=True)
    address = models.CharField(max_length=45, blank=True)
    at = models.DateTimeField(default=timezone.now, db_index=True)

    def __str__(self) -> str:
        return f"failed sign-in {self.pk}"


class TryCount(models.Model):
    """How often one thing was tried in the present window: a row to lock and count."""

    key = models.CharField(max_length=64, unique=True, help_text="SHA-256 of what.")
    number = models.PositiveIntegerField(default=0)
    since = models.DateTimeField()
    in_a_row = models.PositiveIntegerField(default=0)

    def __str__(self) -> str:
        return f"{self.number} tries"
