"""Work orders: the car in the shop, its panels, and what was computed for it."""

from __future__ import annotations

from decimal import Decimal
from typing import TYPE_CHECKING, ClassVar

from django.db import models
from django.db.models import Q
from django.utils import timezone

from jobs.bookings.models import Booking, Coverage
from jobs.customers.models import Customer, Vehicle
from jobs.search.models import Findable, SearchKey
from jobs.search.spelling import number_keys
from jobs.stages.table import CLOSED, FIRST, Stage
from mixing.models import Batch, Immutable, Kind, Reading
from shopapp.models import Bay, Person, Place

if TYPE_CHECKING:
    from django.db.models.manager import Manager

    from jobs.workorders.event_models import WorkOrderEvent

STAGES = [(stage.value, stage.label) for stage in Stage]


class WorkOrder(Findable):
    """A car in the shop, from intake to hand-over."""

    lock_rank: ClassVar[int] = 10
    found_as = SearchKey.Of.ORDER
    found_by = ("number",)

    class Agreed(models.TextChoices):
        SIGNATURE = "signature", "by signature"
        LINK = "link", "by link"
        PHONE = "phone", "by phone"
        PERSON = "person", "in person"
        KEYS = "keys", "left keys"
        ACCOUNT = "account", "account customer"

    number = models.CharField(max_length=16, unique=True)
    booking = models.OneToOneField(
        Booking, on_delete=models.PROTECT, null=True, related_name="workorder"
    )
    return_of = models.ForeignKey(
        "self", on_delete=models.PROTECT, null=True, blank=True, related_name="returns"
    )
    customer = models.ForeignKey(
        Customer, on_delete=models.PROTECT, related_name="workorders"
    )
    vehicle = models.ForeignKey(
        Vehicle, on_delete=models.PROTECT, related_name="workorders"
    )
    film = models.ForeignKey("jobs.Film", on_delete=models.PROTECT)
    stage = models.CharField(max_length=10, choices=STAGES, default=FIRST.value)
    round = models.PositiveSmallIntegerField(default=1)
    paused_at = models.DateTimeField(null=True, blank=True)
    paused_because = models.CharField(max_length=160, blank=True)
    bay = models.ForeignKey(
        Bay, on_delete=models.PROTECT, null=True, blank=True, related_name="workorders"
    )
    place = models.ForeignKey(
        Place,
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="workorders",
    )
    crew = models.ManyToManyField(Person, blank=True, related_name="workorders")
    key_tag = models.CharField(max_length=12, blank=True)
    mileage = models.PositiveIntegerField(null=True, blank=True)
    arrived_at = models.DateTimeField(default=timezone.now)
    promised_at = models.DateTimeField()
    stage_since = models.DateTimeField(default=timezone.now)
    walk_round_agreed = models.CharField(
        max_length=10, choices=Agreed.choices, blank=True
    )
    walk_round_agreed_at = models.DateTimeField(null=True, blank=True)
    cure_began_at = models.DateTimeField(null=True, blank=True)
    cure_over_at = models.DateTimeField(null=True, blank=True)
    hand_over_agreed = models.CharField(
        max_length=10, choices=Agreed.choices, blank=True
    )
    handed_over_at = models.DateTimeField(null=True, blank=True)
    recheck_at = models.DateTimeField(null=True, blank=True)
    price = models.DecimalField(max_digits=10, decimal_places=2, null=True, blank=True)
    tax_pct = models.DecimalField(
        max_digits=6,
        decimal_places=3,
        default=Decimal(0),
        help_text="Tax that the price holds, as it was when it was agreed.",
    )
    on_account = models.BooleanField(default=False)
    film_registered_as = models.CharField(
        max_length=40,
        blank=True,
        help_text="The number under which the film's maker knows this car.",
    )

    events: Manager[WorkOrderEvent]

    class Meta:
        verbose_name = "work order"
        ordering = ["promised_at", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(stage__in=[stage.value for stage in Stage]),
                name="workorder_stage_known",
            ),
            models.CheckConstraint(
                condition=Q(bay__isnull=True) | Q(place__isnull=True),
                name="workorder_in_one_place",
            ),
        ]
        indexes = [
            models.Index(
                fields=["promised_at"],
                condition=~Q(stage=CLOSED.value),
                name="workorder_open",
            ),
            models.Index(fields=["stage", "handed_over_at"], name="workorder_closed"),
            models.Index(fields=["arrived_at"], name="workorder_arrived"),
            models.Index(fields=["handed_over_at"], name="workorder_handed_over"),
            models.Index(fields=["stage", "recheck_at"], name="workorder_recheck"),
        ]

    def __str__(self) -> str:
        return self.number

    def search_keys(self) -> set[str]:
        """By its number."""
        return number_keys(self.number)

    @property
    def stage_now(self) -> Stage:
        """The stage as the pure rooms know it."""
        return Stage(self.stage)

    @property
    def is_paused(self) -> bool:
        """Whether the job waits for something."""
        return self.paused_at is not None

    @property
    def is_closed(self) -> bool:
        """Whether the car has been handed over."""
        return self.stage == CLOSED.value


class OrderPanel(Coverage):
    """A panel on the order: ready, laid, struck off, looked at."""

    workorder = models.ForeignKey(
        WorkOrder, on_delete=models.PROTECT, related_name="panels"
    )
    ready_at = models.DateTimeField(null=True, blank=True)
    ready_by = models.ForeignKey(
        Person, on_delete=models.PROTECT, null=True, related_name="+"
    )
    laid_at = models.DateTimeField(null=True, blank=True)
    laid_by = models.ForeignKey(
        Person, on_delete=models.PROTECT, null=True, related_name="+"
    )
    laid_round = models.PositiveSmallIntegerField(default=1)
    reading = models.ForeignKey(
        Reading, on_delete=models.PROTECT, null=True, related_name="+"
    )
    pull = models.ForeignKey(
        "jobs.Pull", on_delete=models.PROTECT, null=True, related_name="panels"
    )
    batches = models.ManyToManyField(Batch, blank=True, related_name="panels")
    edge_min = models.PositiveSmallIntegerField(
        default=0, help_text="Minutes that another edge takes, agreed since."
    )
    struck_off_at = models.DateTimeField(null=True, blank=True)
    struck_off_because = models.CharField(max_length=120, blank=True)

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["workorder", "panel"], name="order_panel_once"
            )
        ]
        indexes = [
            models.Index(fields=["ready_at"], name="order_panel_ready_at"),
        ]


class AddedWork(models.Model):
    """Correction, old-film removal, parts off and on, coating."""

    class When(models.TextChoices):
        BEFORE_PREP = "before_prep", "before prep"
        IN_PREP = "in_prep", "in prep"
        AFTER_INSTALL = "after_install", "after install"

    class Skill(models.TextChoices):
        PREP = "prep", "prep"
        INSTALL = "install", "install"

    workorder = models.ForeignKey(
        WorkOrder, on_delete=models.PROTECT, related_name="added_work", null=True
    )
    booking = models.ForeignKey(
        Booking, on_delete=models.PROTECT, related_name="added_work", null=True
    )
    name = models.CharField(max_length=80)
    minutes = models.PositiveSmallIntegerField()
    when = models.CharField(max_length=14, choices=When.choices)
    skill = models.CharField(max_length=8, choices=Skill.choices)
    price = models.DecimalField(
        max_digits=10,
        decimal_places=2,
        default=Decimal(0),
    )
    done_at = models.DateTimeField(null=True, blank=True)
    done_by = models.ForeignKey(
        Person, on_delete=models.PROTECT, null=True, related_name="+"
    )

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return self.name


class OrderReading(models.Model):
    """The tie of a reading to an order."""

    workorder = models.ForeignKey(
        WorkOrder, on_delete=models.PROTECT, related_name="order_readings"
    )
    reading = models.ForeignKey(Reading, on_delete=models.PROTECT)
    panel = models.CharField(max_length=24, blank=True)

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return str(self.reading)


class OrderSheet(Immutable):
    """A mixing sheet as computed for the order: frozen facts, never recomputed."""

    workorder = models.ForeignKey(
        WorkOrder, on_delete=models.PROTECT, related_name="sheets"
    )
    version = models.PositiveSmallIntegerField()
    round = models.PositiveSmallIntegerField(default=1)
    reading = models.ForeignKey(Reading, on_delete=models.PROTECT, null=True)
    recipe_versions = models.JSONField(help_text="Solution kind to version pk.")
    facts = models.JSONField(help_text="`mixing.sheet.sheet_to_json`.")
    made_at = models.DateTimeField()

    class Meta:
        ordering = ["workorder_id", "-version"]
        constraints = [
            models.UniqueConstraint(
                fields=["workorder", "version"], name="order_sheet_version_once"
            )
        ]

    def __str__(self) -> str:
        return f"mixing sheet {self.version}"


class OrderSolution(models.Model):
    """A solution of the sheet in one round: waiting, mixed, or not needed."""

    class State(models.TextChoices):
        WAITING = "waiting", "to be mixed"
        MIXED = "mixed", "mixed"
        NOT_NEEDED = "not_needed", "not needed"

    workorder = models.ForeignKey(
        WorkOrder, on_delete=models.PROTECT, related_name="solutions"
    )
    kind = models.CharField(max_length=12, choices=Kind.choices)
    round = models.PositiveSmallIntegerField(default=1)
    state = models.CharField(
        max_length=10, choices=State.choices, default=State.WAITING
    )

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["workorder", "kind", "round"], name="order_solution_once"
            )
        ]

    def __str__(self) -> str:
        return self.kind


class OrderBatch(models.Model):
    """The tie of a batch to an order (the same batch may serve two cars)."""

    workorder = models.ForeignKey(
        WorkOrder, on_delete=models.PROTECT, related_name="order_batches"
    )
    batch = models.ForeignKey(
        Batch, on_delete=models.PROTECT, related_name="order_batches"
    )
    round = models.PositiveSmallIntegerField(default=1)
    sheet = models.ForeignKey(OrderSheet, on_delete=models.PROTECT, null=True)

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["workorder", "batch", "round"],
                name="order_batch_once_a_round",
            )
        ]

    def __str__(self) -> str:
        return str(self.batch)
