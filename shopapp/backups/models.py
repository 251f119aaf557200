"""When backups are made and kept, and what was made."""

from __future__ import annotations

from datetime import time
from pathlib import Path
from typing import ClassVar

from django.db import models


class BackupRule(models.Model):
    """When the shop is backed up, and what is kept. One row, made when changed."""

    lock_rank: ClassVar[int] = 71

    at = models.TimeField(default=time(2))
    keep_days = models.PositiveSmallIntegerField(default=7)
    keep_weeks = models.PositiveSmallIntegerField(default=4)
    keep_months = models.PositiveSmallIntegerField(default=12)

    def __str__(self) -> str:
        return "backup rule"


class Backup(models.Model):
    """One backup, or the attempt at one: an entry for people, the folder is the thing.

    failed        why none was made
    trouble       what is not in it, or was not cleared
    proof_failed  why it would not bring the shop back
    """

    folder = models.CharField(max_length=500)
    made_at = models.DateTimeField()
    rows = models.PositiveBigIntegerField(default=0)
    files = models.PositiveIntegerField(default=0)
    copied = models.PositiveIntegerField(default=0)
    size = models.PositiveBigIntegerField(default=0)
    failed = models.TextField(blank=True)
    trouble = models.TextField(blank=True)
    proved_at = models.DateTimeField(null=True, blank=True)
    proof_failed = models.TextField(blank=True)
    removed_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-made_at", "-pk"]
        indexes = [models.Index(fields=["made_at"], name="backup_made_at")]

    def __str__(self) -> str:
        return Path(self.folder).name
