"""Is there a backup, how old is it, and was it ever brought back?"""

from __future__ import annotations

import os
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

from django.conf import settings
from django.db.models import Max, Min, Q

from shopapp.backups.shelf import own_shelf
from shopapp.models import BackgroundTask, Backup, BackupRule, the_shop

KIND, SUBJECT = "solvers.back_up", "the shop"
LATE_AFTER, UNPROVEN_AFTER = timedelta(hours=36), timedelta(days=31)
PROVE_EVERY, AGAIN_AFTER = timedelta(days=7), timedelta(hours=1)


@dataclass(frozen=True, kw_only=True)
class BackupState:
    """The last backup, the last proof, and what is wrong with them.

    failed        why the newest attempt made none
    proof_failed  why the newest proof did not bring it back
    trouble       what the newest one lacks
    """

    last_at: datetime | None
    proved_at: datetime | None
    is_late: bool
    is_unproven: bool
    failed: str
    proof_failed: str
    trouble: str

    @property
    def is_well(self) -> bool:
        """Whether nobody has to look."""
        wrong = (self.failed, self.proof_failed, self.trouble)
        return not (self.is_late or self.is_unproven or any(wrong))


def backup_rule() -> BackupRule:
    """When the shop is backed up; the defaults until a manager says otherwise."""
    return BackupRule.objects.filter(pk=1).first() or BackupRule(pk=1)


def backup_state(*, now: datetime) -> BackupState:
    """What a manager has to know of the backups."""
    newest = Backup.objects.first()
    whole = Q(failed="")
    found = Backup.objects.aggregate(
        last_at=Max("made_at", filter=whole),
        first_at=Min("made_at"),
        proved_at=Max("proved_at", filter=whole),
    )
    last_at, proved_at = found["last_at"], found["proved_at"]
    since = proved_at or found["first_at"]
    return BackupState(
        last_at=last_at,
        proved_at=proved_at,
        is_late=bool(last_at) and now - last_at > LATE_AFTER,
        is_unproven=bool(since) and now - since > UNPROVEN_AFTER,
        failed=newest.failed if newest else "",
        proof_failed=newest.proof_failed if newest else "",
        trouble=newest.trouble if newest else "",
    )


def due_at(now: datetime, *, rule: BackupRule, zone: ZoneInfo) -> datetime:
    """The latest moment at which a backup was to be made."""
    local = now.astimezone(zone)
    today = local.replace(
        hour=rule.at.hour, minute=rule.at.minute, second=0, microsecond=0
    )
    return today if today <= local else today - timedelta(days=1)


def wanted_at(*, now: datetime) -> datetime | None:
    """When the backup was due that nobody asked for yet; None when there is none.

    One that failed is asked for again after an hour.
    """
    due = due_at(now, rule=backup_rule(), zone=the_shop().zone)
    asked = BackgroundTask.objects.filter(kind=KIND, subject=SUBJECT, due__gte=due)
    if not asked.exists():
        return due
    newest = Backup.objects.first()
    is_over = newest is not None and now - newest.made_at > AGAIN_AFTER
    return now if newest and newest.failed and is_over else None


def is_being_made() -> bool:
    """Whether one was asked for and is not there yet."""
    alive = [BackgroundTask.State.WAITING, BackgroundTask.State.RUNNING]
    return BackgroundTask.objects.filter(kind=KIND, state__in=alive).exists()


def is_proof_due(*, now: datetime) -> bool:
    """Whether it is time to bring a backup back into a spare place."""
    newest = Backup.objects.exclude(proved_at=None, proof_failed="").first()
    if newest is None or newest.proof_failed or newest.proved_at is None:
        return True
    return now - newest.proved_at > PROVE_EVERY


def is_on_the_shops_disk() -> bool:
    """Whether one broken disk takes the shop and its backups."""
    shelf = own_shelf()
    there = next(each for each in (shelf, *shelf.parents) if each.exists())
    return os.stat(there).st_dev == os.stat(Path(settings.SHOP_DATA)).st_dev
