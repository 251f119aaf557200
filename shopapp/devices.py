"""Browsers that have been here, and who signed in on them."""

from __future__ import annotations

from django.db import models
from django.utils import timezone


class Device(models.Model):
    """A browser that has been here before: a wall tablet, the desk's PC."""

    name = models.CharField(max_length=60, blank=True)
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
    ended_at = models.DateTimeField(null=True, blank=True)

    def __str__(self) -> str:
        return f"sign-in {self.pk}"


class FailedSignIn(models.Model):
    """A wrong password or PIN, counted for a name and address until it is old."""

    whom = models.CharField(max_length=64, help_text="SHA-256 of name and address.")
    at = models.DateTimeField(default=timezone.now)

    class Meta:
        indexes = [models.Index(fields=["whom", "at"], name="failed_sign_in_whom")]

    def __str__(self) -> str:
        return f"failed sign-in {self.pk}"
