"""Secret addresses of calendar feeds: one bay's, one person's, or the hand-overs."""

from __future__ import annotations

from django.db import models
from django.db.models import Q
from django.utils import timezone

from shopapp.models import Bay, Person


class CalendarFeed(models.Model):
    """A secret address. Only the hash of its token is kept.

    Neither bay nor person: the hand-overs.
    """

    bay = models.ForeignKey(
        Bay, on_delete=models.PROTECT, null=True, related_name="feeds"
    )
    person = models.ForeignKey(
        Person, on_delete=models.PROTECT, null=True, related_name="feeds"
    )
    token_hash = models.CharField(max_length=64, unique=True)
    made_by = models.ForeignKey(
        Person, on_delete=models.PROTECT, null=True, related_name="+"
    )
    made_at = models.DateTimeField(default=timezone.now)
    revoked_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(bay__isnull=True) | Q(person__isnull=True),
                name="feed_of_one_thing",
            )
        ]

    def __str__(self) -> str:
        return f"feed {self.pk}"
