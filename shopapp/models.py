"""The building: the shop, its bays and people, and the rows the frame stands on."""

from __future__ import annotations

import zoneinfo
from datetime import date, datetime, time, timedelta
from enum import StrEnum
from typing import ClassVar

from django.contrib.auth.hashers import check_password, make_password
from django.contrib.auth.models import AbstractUser
from django.db import models
from django.db.models import Q
from django.utils import timezone

from shopapp.backups.models import Backup as Backup
from shopapp.backups.models import BackupRule as BackupRule
from shopapp.devices import Device as Device
from shopapp.devices import FailedSignIn as FailedSignIn
from shopapp.devices import SignIn as SignIn
from shopapp.devices import TryCount as TryCount
from shopapp.once import once_a_page
from shopapp.open_days import Holiday as Holiday
from shopapp.open_days import OpenDay as OpenDay
from shopapp.units import System


class Role(StrEnum):
    """What a person may do; in a small shop one person holds all three."""

    DESK = "desk"
    INSTALLER = "installer"
    MANAGER = "manager"


class Person(AbstractUser):
    """Someone who works here. Signs in with a password, or by tile and PIN."""

    lock_rank: ClassVar[int] = 60
    sign_in: SignIn | None = None
    """The one that this request came by."""
    limited_to: frozenset[Role] | None = None
    """The roles whose work that sign-in opens; None: all of this person's."""

    is_desk = models.BooleanField("front desk", default=False)
    is_installer = models.BooleanField("installer", default=False)
    is_manager = models.BooleanField("manager", default=False)
    can_prep = models.BooleanField("preps cars", default=False)
    can_install = models.BooleanField("lays film", default=False)
    can_inspect = models.BooleanField("inspects", default=False)
    pin_hash = models.CharField(max_length=128, blank=True)
    password_is_temporary = models.BooleanField(default=False)

    class Meta:
        ordering = ["first_name", "pk"]
        verbose_name = "person"
        verbose_name_plural = "people"

    def __str__(self) -> str:
        return self.get_full_name() or self.username

    @property
    def roles(self) -> frozenset[Role]:
        """The roles this person holds."""
        held = {
            Role.DESK: self.is_desk,
            Role.INSTALLER: self.is_installer,
            Role.MANAGER: self.is_manager,
        }
        return frozenset(role for role, holds in held.items() if holds)

    def set_pin(self, pin: str) -> None:
        """Keep a PIN as a hash."""
        self.pin_hash = make_password(pin)

    def knows_pin(self, pin: str) -> bool:
        """True for this person's PIN."""
        return bool(self.pin_hash) and check_password(pin, self.pin_hash)


class Shop(models.Model):
    """The one shop. Its row is made by the first migration."""

    lock_rank: ClassVar[int] = 70

    class PaperSize(models.TextChoices):
        A4 = "A4", "A4"
        LETTER = "Letter", "Letter"

    name = models.CharField(max_length=120, default="Our shop")
    address = models.TextField(blank=True)
    phone = models.CharField(max_length=40, blank=True)
    email = models.EmailField(blank=True)
    time_zone = models.CharField(max_length=64, default="America/Chicago")
    units = models.CharField(
        max_length=8,
        choices=[(System.METRIC.value, "metric"), (System.US.value, "US customary")],
        default=System.METRIC.value,
    )
    paper_size = models.CharField(
        max_length=8, choices=PaperSize.choices, default=PaperSize.LETTER
    )
    currency = models.CharField(max_length=3, default="USD")
    opens_at = models.TimeField(default=time(8))
    closes_at = models.TimeField(default=time(18))
    jurisdiction = models.CharField(
        max_length=60,
        default="United States",
        help_text="Whose storage rules the shop goes by, as in the rule tables.",
    )
    local_code = models.TextField(
        "local code",
        blank=True,
        help_text="Name and edition of the fire code in force here, permit text.",
    )
    fire_official = models.CharField(max_length=200, blank=True)
    sewer_authority = models.CharField(max_length=200, blank=True)
    rinse_water = models.TextField(
        blank=True, help_text="What the sewer authority says of rinse water."
    )
    vapour_limit_ppm = models.PositiveIntegerField(default=200)
    vapour_short_limit_ppm = models.PositiveIntegerField(
        "15-minute limit, ppm; empty: the one published beside the 8-hour limit",
        null=True,
        blank=True,
    )
    has_batch_labels = models.BooleanField(
        "a label of its own for each filling, beside the lasting one", default=False
    )
    rule_levels = models.JSONField(
        default=dict, blank=True, help_text="Rule code to level."
    )
    acceptance = models.JSONField(
        default=dict, blank=True, help_text="The shop's acceptance standard."
    )

    terms = models.TextField(
        blank=True, help_text="What a customer agrees to at drop-off, one a line."
    )

    def __str__(self) -> str:
        return self.name

    @property
    def zone(self) -> zoneinfo.ZoneInfo:
        """The shop's time zone."""
        return zoneinfo.ZoneInfo(self.time_zone)

    @property
    def system(self) -> System:
        """Metric or US customary."""
        return System(self.units)


@once_a_page
def the_shop() -> Shop:
    """The one shop row."""
    return Shop.objects.get(pk=1)


def shop_date(at: datetime) -> date:
    """The day of a moment in the shop's zone."""
    return timezone.localtime(at, the_shop().zone).date()


def shop_day(day: date, *, zone: zoneinfo.ZoneInfo) -> tuple[datetime, datetime]:
    """The half-open UTC range of one day in the shop's zone.

    Twenty-three or twenty-five hours long where the clocks change.
    """
    start = datetime.combine(day, time(0), tzinfo=zone)
    end = datetime.combine(day + timedelta(days=1), time(0), tzinfo=zone)
    utc = zoneinfo.ZoneInfo("UTC")
    return start.astimezone(utc), end.astimezone(utc)


class Bay(models.Model):
    """A bay where film is laid, with what is known of its air."""

    lock_rank: ClassVar[int] = 50

    class FactorBasis(models.TextChoices):
        K = "k", "K, 1 (perfect) to 10 (poor)"
        EFFICIENCY = "efficiency", "efficiency, 0 to 1"

    name = models.CharField(max_length=40, unique=True)
    position = models.PositiveSmallIntegerField(default=0)
    length_m = models.FloatField(null=True, blank=True)
    width_m = models.FloatField(null=True, blank=True)
    height_m = models.FloatField(null=True, blank=True)
    exhaust_m3_per_h = models.FloatField(
        null=True,
        blank=True,
    )
    exhaust_measured_on = models.DateField(null=True, blank=True)
    exhaust_method = models.CharField(max_length=120, blank=True)
    mixing_factor = models.FloatField(null=True, blank=True)
    mixing_factor_basis = models.CharField(
        max_length=12, choices=FactorBasis.choices, blank=True
    )
    floor_drain = models.BooleanField(null=True, blank=True)
    retired = models.BooleanField(default=False)

    class Meta:
        ordering = ["position", "pk"]

    def __str__(self) -> str:
        return self.name

    @property
    def volume_m3(self) -> float | None:
        """Length times width times height, when all three are known."""
        if self.length_m and self.width_m and self.height_m:
            return self.length_m * self.width_m * self.height_m
        return None


class Place(models.Model):
    """Somewhere a car stands that is not a bay: yard, wash, curing corner."""

    lock_rank: ClassVar[int] = 55

    class Kind(models.TextChoices):
        YARD = "yard", "yard"
        WASH = "wash", "wash and prep"
        SETTLING = "settling", "settling"

    name = models.CharField(max_length=40, unique=True)
    kind = models.CharField(max_length=12, choices=Kind.choices, default=Kind.YARD)
    position = models.PositiveSmallIntegerField(default=0)
    room_for = models.PositiveSmallIntegerField(default=1)
    is_indoors = models.BooleanField("indoors", default=True)
    retired = models.BooleanField(default=False)

    class Meta:
        ordering = ["position", "pk"]

    def __str__(self) -> str:
        return self.name


class Submission(models.Model):
    """One press of a button. The same key has one effect and one answer."""

    key = models.CharField(max_length=64, unique=True)
    action = models.CharField(max_length=60)
    by = models.ForeignKey(Person, on_delete=models.PROTECT, null=True)
    device = models.ForeignKey(Device, on_delete=models.PROTECT, null=True)
    fingerprint = models.CharField(max_length=64)
    subject = models.CharField(max_length=60, blank=True)
    via = models.CharField(max_length=12)
    answer = models.JSONField(default=dict)
    received_at = models.DateTimeField(default=timezone.now)

    class Meta:
        indexes = [
            models.Index(fields=["subject", "received_at"], name="submission_subject"),
            models.Index(fields=["action", "received_at"], name="submission_action"),
        ]

    def __str__(self) -> str:
        return f"{self.action} {self.key}"


class Revision(models.Model):
    """A single row, bumped last in every action: its order is commit order."""

    number = models.BigIntegerField(default=0)

    class Meta:
        constraints = [
            models.CheckConstraint(condition=Q(pk=1), name="revision_single_row")
        ]

    def __str__(self) -> str:
        return str(self.number)


class HistoryEntry(models.Model):
    """What stands in a history: append-only, ids and facts, no names or phones."""

    class Via(models.TextChoices):
        PAGE = "page", "page"
        LINK = "link", "customer link"
        TASK = "task", "background task"
        DEMO = "demo", "demo data"
        OFFLINE = "offline", "kept on the tablet"

    action = models.CharField(max_length=60)
    what = models.CharField(max_length=60)
    facts = models.JSONField(default=dict)
    by = models.ForeignKey(
        Person, on_delete=models.PROTECT, null=True, related_name="+"
    )
    device = models.ForeignKey(
        Device, on_delete=models.PROTECT, null=True, related_name="+"
    )
    done_at = models.DateTimeField()
    received_at = models.DateTimeField()
    via = models.CharField(max_length=12, choices=Via.choices)
    submission_key = models.CharField(max_length=64)

    class Meta:
        abstract = True
        ordering = ["pk"]

    def __str__(self) -> str:
        return self.what


class BackgroundTask(models.Model):
    """Work done outside a request. This row is the truth; Redis only the bell."""

    class State(models.TextChoices):
        WAITING = "waiting", "waiting"
        RUNNING = "running", "running"
        DONE = "done", "done"
        FAILED = "failed", "failed"
        STOPPED = "stopped", "stopped"

    kind = models.CharField(max_length=60)
    subject = models.CharField(max_length=80)
    payload = models.JSONField(default=dict)
    state = models.CharField(
        max_length=12, choices=State.choices, default=State.WAITING
    )
    attempts = models.PositiveSmallIntegerField(default=0)
    due = models.DateTimeField(null=True, blank=True)
    made_at = models.DateTimeField(default=timezone.now)
    rung_at = models.DateTimeField(null=True, blank=True)
    heartbeat_at = models.DateTimeField(null=True, blank=True)
    ended_at = models.DateTimeField(null=True, blank=True)
    cancel = models.BooleanField(default=False)
    progress = models.JSONField(default=dict)
    error = models.TextField(blank=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["kind", "subject"],
                condition=Q(state__in=["waiting", "running"]),
                name="background_one_alive",
            ),
            models.UniqueConstraint(
                fields=["kind", "subject", "due"],
                condition=Q(due__isnull=False),
                name="background_one_per_due",
            ),
        ]
        indexes = [models.Index(fields=["state", "made_at"], name="background_state")]

    def __str__(self) -> str:
        return f"{self.kind} {self.subject}"


class StoredFile(models.Model):
    """Photos and issued papers by content hash, served through a checked view."""

    sha256 = models.CharField(max_length=64, unique=True)
    content_type = models.CharField(max_length=80)
    size = models.PositiveIntegerField()
    added_at = models.DateTimeField(default=timezone.now)

    def __str__(self) -> str:
        return self.sha256[:12]


class Price(models.Model):
    """A line of the shop's price list."""

    code = models.CharField(max_length=80, unique=True)
    label = models.CharField(max_length=120)
    amount = models.DecimalField(max_digits=10, decimal_places=2)

    class Meta:
        ordering = ["label"]

    def __str__(self) -> str:
        return self.label
