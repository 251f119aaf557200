"""The demo shop with what it lacks for a look at every page: the furnished shop.

Made once a test run into an SQLite file of its own; a test works on a copy, inside
one transaction that is rolled back. Everything in it was made by the shop's actions.
"""

from __future__ import annotations

import fcntl
import io
import os
import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from pathlib import Path
from types import MappingProxyType
from typing import Any

from django.conf import settings
from django.core.management import call_command
from django.db import connection, transaction
from django.db.models import QuerySet
from django.utils import timezone
from PIL import Image

from jobs.additions.actions import add_work, offer_addition
from jobs.checks.actions import add_mark
from jobs.checks.queries import order_lists
from jobs.condition.marks import ChecklistItem, ItemKind
from jobs.condition.reading_actions import take_reading
from jobs.crews.actions import add_absence
from jobs.feeds.actions import make_feed
from jobs.film.actions import order_film
from jobs.film.offcut_actions import keep_offcut
from jobs.invoices.actions import make_invoice
from jobs.models import (
    Absence,
    AddedWork,
    Addition,
    BayPlan,
    Booking,
    CalendarFeed,
    Checklist,
    CustomerEstimate,
    CustomerLink,
    CustomerReport,
    Defect,
    Discount,
    Film,
    FilmOrder,
    Invoice,
    Mark,
    MenuWork,
    OffCut,
    OrderChecklist,
    OrderPanel,
    OrderPrepUse,
    OrderSheet,
    Paper,
    Payment,
    Pull,
    Receipt,
    ReturnVisit,
    Roll,
    WorkOrder,
)
from jobs.money.discount_actions import give_discount
from jobs.panels.inspection_actions import open_defect
from jobs.papers.actions import issue_paper
from jobs.plan.actions import make_plan
from jobs.plan.draft_queries import draft
from jobs.public.link_actions import make_link
from jobs.public.link_queries import hash_of
from jobs.public.report_actions import send_report
from jobs.pulls.actions import plan_the_pull
from jobs.pulls.queries import panels_to_cut, quick_plan
from jobs.returns.actions import begin_return
from jobs.solutions.actions import make_sheet
from jobs.stages.table import Stage
from jobs.tasks import issue_paper as issue_paper_task
from mixing.flash_points.actions import enter_flash_point
from mixing.models import (
    Batch,
    Dispenser,
    FlashPoint,
    Kind,
    Recipe,
    RuleSet,
    StockContainer,
    StorageSpot,
    Vessel,
)
from mixing.rule_sets.actions import add_rule_set
from shopapp.frame import perform
from shopapp.media import keep_bytes
from shopapp.models import (
    BackgroundTask,
    Bay,
    Device,
    FailedSignIn,
    Holiday,
    Person,
    Place,
    SignIn,
    StoredFile,
)
from shopapp.open_day_actions import add_holiday
from tests import makers
from tests.estimates import estimate_for, send

LINKED = ("intake", "prep", "closed", "closed_before")


@dataclass(frozen=True)
class Link:
    """A customer's link, with the token that only this test run knows."""

    token: str
    workorder: WorkOrder

    @property
    def paper_pk(self) -> int | None:
        """An issued paper of the order."""
        issued = Paper.objects.filter(
            workorder=self.workorder, kind="care", state=Paper.State.ISSUED
        ).first()
        return issued.pk if issued else None

    @property
    def photo_mark_pk(self) -> int | None:
        """A mark of the order with a photo."""
        mark = self.workorder.marks.filter(photo__isnull=False).first()
        return mark.pk if mark else None

    @property
    def addition_pk(self) -> int | None:
        """An offer that waits for the customer."""
        waits = Addition.objects.filter(state=Addition.State.OFFERED)
        offer = waits.filter(workorder=self.workorder).first()
        return offer.pk if offer else None


class Furnished:
    """The rows of the furnished shop, by what they are good for."""

    # -- people ----------------------------------------------------------------

    @property
    def people(self) -> dict[str, Person]:
        """One of each role, by role; `stranger` holds none."""
        names = {"desk": "ben", "installer": "chidi", "manager": "alva"}
        names |= {"stranger": "stan"}
        return {role: Person.objects.get(username=name) for role, name in names.items()}

    @property
    def mara(self) -> Person:
        """Holds every role, as in a shop of two."""
        return Person.objects.get(username="mara")

    @property
    def nora(self) -> Person:
        """The other one of the two."""
        return Person.objects.get(username="nora")

    # -- orders ----------------------------------------------------------------

    def _one(self, **where: Any) -> WorkOrder:
        found = WorkOrder.objects.filter(**where).order_by("pk").first()
        assert found is not None, f"the demo shop has no order with {where}"
        return found

    @property
    def intake(self) -> WorkOrder:
        """Just taken in, the walk-round not agreed."""
        return self._one(stage=Stage.INTAKE)

    @property
    def prep(self) -> WorkOrder:
        """In prep, with added work to do and a mark after the wash."""
        return self._one(stage=Stage.PREP, paused_at=None)

    @property
    def paused(self) -> WorkOrder:
        """Waits."""
        return self._one(paused_at__isnull=False)

    @property
    def install(self) -> WorkOrder:
        """In install, some panels laid."""
        return self._one(stage=Stage.INSTALL, round=1)

    @property
    def redo(self) -> WorkOrder:
        """In install again, for one panel."""
        return self._one(stage=Stage.INSTALL, round__gt=1)

    @property
    def inspection(self) -> WorkOrder:
        """In inspection, an open defect, two panels not looked at."""
        return self._one(stage=Stage.INSPECTION)

    @property
    def settled(self) -> WorkOrder:
        """Its cure time is over."""
        return self._one(stage=Stage.CURE, cure_over_at__lte=timezone.now())

    @property
    def closed(self) -> list[WorkOrder]:
        """Handed over, latest first; cars that came back are `returns`."""
        orders = WorkOrder.objects.filter(stage=Stage.CLOSED, return_of=None)
        return list(orders.order_by("-pk"))

    @property
    def returns(self) -> list[ReturnVisit]:
        """Return visits, the one whose car is here first."""
        return list(ReturnVisit.objects.order_by("-pk"))

    def panels(self, order: WorkOrder) -> list[OrderPanel]:
        """Its panels."""
        return list(order.panels.order_by("pk"))

    def tick_item(self, order: WorkOrder) -> tuple[OrderChecklist, ChecklistItem]:
        """An item of the order's list that is ticked, not ticked yet."""
        for each in order_lists(order):
            for line in each.lines:
                is_tick = each.is_current and line.item.kind is ItemKind.TICK
                if is_tick and line.answer is None:
                    return each.row, line.item
        raise AssertionError(f"{order}: every item is ticked")

    @property
    def links(self) -> dict[str, Link]:
        """Customers' links by the order they open."""
        orders = [self.intake, self.prep, *self.closed[:2]]
        return {
            name: Link(f"token-of-{name}", order)
            for name, order in zip(LINKED, orders, strict=True)
        }

    def links_with(self, attribute: str) -> list[Link]:
        """Those whose order has such a thing."""
        return [link for link in self.links.values() if getattr(link, attribute)]

    @property
    def link_rows(self) -> list[CustomerLink]:
        """As they are kept."""
        return list(CustomerLink.objects.exclude(workorder=None).order_by("pk"))

    @property
    def booking_links(self) -> list[CustomerLink]:
        """Links of cars that are expected."""
        return list(CustomerLink.objects.exclude(booking=None).order_by("pk"))

    estimate_tokens = MappingProxyType(
        {"Noor Vale": "token-of-an-estimate", "Ada Birch": "token-of-another"}
    )

    @property
    def estimates(self) -> list[CustomerEstimate]:
        """Sent to customers, whose tokens only this test run knows."""
        names = list(self.estimate_tokens)
        rows = CustomerEstimate.objects.filter(customer__name__in=names)
        return list(rows.order_by("pk"))

    @property
    def reports(self) -> list[CustomerReport]:
        """What customers wrote."""
        return list(CustomerReport.objects.order_by("pk"))

    @property
    def added_work(self) -> list[AddedWork]:
        """Work still to be done."""
        return list(
            AddedWork.objects.filter(done_at=None, workorder__isnull=False).order_by(
                "pk"
            )
        )

    @property
    def offers(self) -> list[Addition]:
        """Offers that wait for the customer's answer."""
        waits = Addition.objects.filter(state=Addition.State.OFFERED)
        return list(waits.order_by("pk"))

    @property
    def menu_work(self) -> MenuWork:
        """A row of the menu of other work."""
        return MenuWork.objects.all()[0]

    @property
    def prep_uses(self) -> list[OrderPrepUse]:
        """Prep chemicals recorded."""
        return list(OrderPrepUse.objects.standing().order_by("pk"))

    @property
    def open_defects(self) -> list[Defect]:
        """Defects that wait."""
        here = Defect.objects.filter(state=Defect.State.OPEN)
        first = [d for d in here if d.workorder_id == self.inspection.pk]
        return first + [d for d in here if d.workorder_id != self.inspection.pk]

    @property
    def planned_pulls(self) -> list[Pull]:
        """Pulls that wait to be taken, the redo's first."""
        return list(
            Pull.objects.filter(state=Pull.State.PLANNED).order_by(
                "-workorder__round", "pk"
            )
        )

    @property
    def sheet(self) -> OrderSheet:
        """A slip sheet that waits to be mixed by, on the redo."""
        found = self.redo.sheets.filter(round=self.redo.round).first()
        assert found is not None
        return found

    @property
    def photo(self) -> StoredFile:
        """A photo that is kept."""
        return StoredFile.objects.filter(content_type="image/jpeg")[0]

    # -- the shelf ---------------------------------------------------------------

    @property
    def bookings(self) -> list[Booking]:
        """Expected."""
        return list(Booking.objects.filter(state=Booking.State.BOOKED).order_by("pk"))

    @property
    def deposits(self) -> list[Payment]:
        """Paid for cars that are expected."""
        return list(Payment.objects.filter(workorder=None).order_by("pk"))

    @property
    def payments(self) -> list[Payment]:
        """Paid for cars in the shop and handed over."""
        return list(Payment.objects.exclude(workorder=None).order_by("pk"))

    @property
    def discounts(self) -> list[Discount]:
        """Given on orders, and on bookings."""
        return list(Discount.objects.order_by("pk"))

    @property
    def invoice(self) -> Invoice:
        """One that stands, of an account that owes."""
        return self.open_invoice(0)

    def open_invoice(self, number: int) -> Invoice:
        """One that is not paid."""
        found = Invoice.objects.filter(workorder__on_account=True)
        return found.exclude(workorder__payments__isnull=False).order_by("pk")[number]

    @property
    def account_receipt(self) -> Receipt:
        """Of what an account paid."""
        rows = Receipt.objects.filter(payments__workorder__on_account=True)
        found = rows.order_by("pk").first()
        assert found is not None
        return found

    @property
    def film(self) -> Film:
        """Film of most cars."""
        return self.inspection.film

    @property
    def film_orders(self) -> list[FilmOrder]:
        """Film on its way, of two kinds."""
        return list(FilmOrder.objects.order_by("pk"))

    @property
    def roll(self) -> Roll:
        """A roll with much on it."""
        return Roll.objects.filter(film=self.film).order_by("-left_mm")[0]

    @property
    def offcuts(self) -> QuerySet[OffCut]:
        """On the shelf."""
        return OffCut.objects.filter(used_at=None, scrapped_at=None).order_by("pk")

    @property
    def clean_vessel(self) -> Vessel:
        """A clean slip vessel."""
        found = Vessel.objects.filter(kind=Kind.SLIP, state="clean").first()
        assert found is not None
        return found

    @property
    def vessels_to_rinse(self) -> list[Vessel]:
        """Not clean."""
        return list(Vessel.objects.exclude(state="clean"))

    @property
    def unopened(self) -> StockContainer:
        """Still sealed."""
        return StockContainer.objects.get(opened_on=None, retired_at=None)

    @property
    def batches(self) -> QuerySet[Batch]:
        """Latest first."""
        return Batch.objects.order_by("-pk")

    @property
    def recipe(self) -> Recipe:
        """Of slip."""
        return Recipe.objects.order_by("pk")[0]

    @property
    def dispensers(self) -> QuerySet[Dispenser]:
        """All."""
        return Dispenser.objects.order_by("pk")

    @property
    def papers(self) -> QuerySet[Paper]:
        """Issued."""
        return Paper.objects.filter(state=Paper.State.ISSUED).order_by("pk")

    @property
    def papers_to_come(self) -> QuerySet[Paper]:
        """Asked for."""
        return Paper.objects.filter(state=Paper.State.ASKED).order_by("pk")

    @property
    def checklist(self) -> Checklist:
        """Of prep."""
        return Checklist.objects.get(code="prep")

    @property
    def bay(self) -> Bay:
        """The first."""
        return Bay.objects.order_by("pk")[0]

    @property
    def spot(self) -> StorageSpot:
        """Where chemicals stand."""
        return StorageSpot.objects.order_by("pk")[0]

    @property
    def rule_set(self) -> RuleSet:
        """Safety rules of the shop's own."""
        return RuleSet.objects.get()

    @property
    def tack_recipe(self) -> Recipe:
        """A recipe with alcohol."""
        return Recipe.objects.get(kind="tack")

    @property
    def flash_point(self) -> FlashPoint:
        """What was measured of it."""
        return FlashPoint.objects.get()

    feed_token = "a-token-of-the-furnished-shop"

    @property
    def feed(self) -> CalendarFeed:
        """The hand-overs, for a calendar."""
        return CalendarFeed.objects.earliest("pk")

    @property
    def absence(self) -> Absence:
        """A day off to come."""
        return Absence.objects.earliest("pk")

    @property
    def proposal(self) -> BayPlan:
        """A plan of the shop that waits; asked for where none does."""
        waiting = BayPlan.objects.filter(state=BayPlan.State.PROPOSED)
        if not waiting:
            quick = draft(now=timezone.now())
            do(self.people["manager"], make_plan, quick=quick)
        return waiting.get()

    @property
    def holiday(self) -> Holiday:
        """A day on which the shop is closed."""
        return Holiday.objects.get()

    @property
    def tablet(self) -> Device:
        """An enrolled one."""
        return Device.objects.get(name="bay tablet")

    @property
    def sign_in(self) -> SignIn:
        """Somebody's, on the tablet."""
        return SignIn.objects.get(device=self.tablet)

    @property
    def settling_place(self) -> Place:
        """Where cars settle."""
        return Place.objects.get(kind=Place.Kind.SETTLING)


def do(by: Person, act: Any, /, **facts: Any) -> Any:
    """Perform an action now."""
    return perform(makers.make_tap(by, at=timezone.now()), act, **facts)


def picture() -> bytes:
    """A small photo."""
    out = io.BytesIO()
    Image.new("RGB", (64, 48), (40, 90, 120)).save(out, "JPEG")
    return out.getvalue()


def _sign_in_at_a_tablet() -> None:
    nora = Person.objects.get(username="nora")
    seen = {"looks_like": "tablet", "address": "192.0.2.20", "key_hash": "d" * 64}
    tablet = Device.objects.create(
        name="bay tablet",
        pin_opens=Device.Work.BAY,
        enrolled_at=timezone.now(),
        enrolled_by=nora,
        **seen,
    )
    SignIn.objects.create(person=nora, device=tablet, password_at=timezone.now())
    FailedSignIn.objects.create(person=nora, device=tablet, kind=FailedSignIn.Kind.PIN)


def furnish() -> None:
    """Add to the demo shop what it lacks."""
    shop = Furnished()
    everything = ("manager", "desk", "installer")
    makers.make_person(*everything, username="mara", pin="4711")
    makers.make_person(*everything, username="nora", pin="4712")
    _sign_in_at_a_tablet()
    makers.make_person(username="stan")
    _marks_and_work(shop)
    _links(shop)
    _estimates(shop)
    _film_and_mix(shop)
    do(
        shop.mara,
        begin_return,
        workorder_pk=shop.closed[3].pk,
        panels=["front_bumper"],
        kind="dirt",
    )
    _papers(shop)
    _money(shop)
    tack = shop.tack_recipe
    tested = {"cup": "closed", "ground": "measured", "measured_by": "Town Lab"}
    do(
        shop.mara,
        enter_flash_point,
        recipe_pk=tack.pk,
        recipe_version=tack.versions.all()[0],
        vv_pct=17.7,
        flash_point_c=30.0,
        measured_on=date(2026, 2, 3),
        **tested,
    )
    example = "United States"
    do(shop.mara, add_rule_set, name="Our town", begin_with=example, why="moved")
    closed_on = timezone.localdate() + timedelta(days=200)
    do(shop.mara, add_holiday, day=closed_on, name="stocktaking")
    do(shop.mara, make_feed, token_hash=hash_of(shop.feed_token))
    do(shop.mara, add_absence, person_pk=shop.nora.pk, first_day=closed_on)


def _marks_and_work(shop: Furnished) -> None:
    photo = keep_bytes(picture(), "image/jpeg")
    for order in (shop.intake, shop.prep):
        do(
            shop.mara,
            add_mark,
            workorder_pk=order.pk,
            panel=shop.panels(order)[0].panel,
            kind="stone_chip",
            severity=1,
            size_mm=2,
            photo=photo,
        )
        do(
            shop.mara,
            add_work,
            workorder_pk=order.pk,
            name="parts off",
            minutes=20,
            when=AddedWork.When.IN_PREP,
            skill=AddedWork.Skill.PREP,
        )
        do(
            shop.mara,
            offer_addition,
            workorder_pk=order.pk,
            what=Addition.What.WORK,
            name="wheels off",
            minutes=40,
            when=AddedWork.When.IN_PREP,
            skill=AddedWork.Skill.PREP,
            price=Decimal(80),
        )
    laid = next(panel for panel in shop.panels(shop.install) if panel.laid_at)
    do(
        shop.mara,
        open_defect,
        workorder_pk=shop.install.pk,
        panel_pk=laid.pk,
        kind="dirt",
        size_mm=3.0,
    )


def _links(shop: Furnished) -> None:
    for link in shop.links.values():
        do(
            shop.mara,
            make_link,
            workorder_pk=link.workorder.pk,
            token_hash=hash_of(link.token),
            days=30,
        )
    for booking in shop.bookings[:2]:
        token_hash = hash_of(f"of booking {booking.pk}")
        make = {"booking_pk": booking.pk, "token_hash": token_hash, "days": 30}
        do(shop.mara, make_link, **make)
    for order in shop.closed[:2]:
        facts = {"workorder_pk": order.pk, "words": "An edge lifts", "photos": []}
        do(shop.mara, send_report, **facts)


def _estimates(shop: Furnished) -> None:
    for number, (name, token) in enumerate(Furnished.estimate_tokens.items()):
        row = estimate_for(shop.mara, name=name, phone=f"555-018{number}")
        send(shop.mara, row, token=token)


def _film_and_mix(shop: Furnished) -> None:
    for film in Film.objects.order_by("pk")[:2]:
        do(
            shop.mara,
            order_film,
            film_pk=film.pk,
            width_mm=1524,
            length_mm=15_000,
            due_on=timezone.localdate() + timedelta(days=3),
            note="",
        )
    do(shop.mara, keep_offcut, roll_pk=shop.roll.pk, width_mm=620, length_mm=480)
    redo = shop.redo
    do(
        shop.mara,
        take_reading,
        workorder_pk=redo.pk,
        air_c=24.0,
        rh_pct=50.0,
        panel_c=25.0,
    )
    do(
        shop.mara,
        make_sheet,
        workorder_pk=redo.pk,
        kind=Kind.SLIP,
        vessels=[shop.clean_vessel],
    )
    for order in (redo, shop.prep):
        quick = quick_plan(order.film, [(order, panels_to_cut(order))])
        do(shop.mara, plan_the_pull, workorder_pk=order.pk, quick=quick)


def _papers(shop: Furnished) -> None:
    do(shop.mara, issue_paper, workorder_pk=shop.redo.pk, kind="work_order")
    wanted = [
        *Paper.objects.filter(workorder__in=shop.closed[:2], kind="care"),
        Paper.objects.filter(workorder=shop.redo, kind="work_order")[0],
    ]
    for paper in wanted:
        task = BackgroundTask.objects.get(
            kind="papers.issue", subject=f"paper {paper.pk}", state="waiting"
        )
        issue_paper_task(task.pk)
        paper.refresh_from_db()
        assert paper.state == Paper.State.ISSUED, f"{paper} was not issued"
    assert Mark.objects.filter(photo__isnull=False).exists()


def _money(shop: Furnished) -> None:
    for order in (shop.intake, shop.prep):
        give = {"workorder_pk": order.pk, "amount": Decimal(10)}
        do(shop.mara, give_discount, because="a regular", **give)
    for booking in shop.bookings[:2]:
        give = {"booking_pk": booking.pk, "amount": Decimal(10)}
        do(shop.mara, give_discount, because="a regular", **give)
    order = next(row for row in shop.closed if not row.on_account)
    do(shop.mara, make_invoice, workorder_pk=order.pk)


# -- the file ------------------------------------------------------------------


@contextmanager
def over(base: Path) -> Iterator[None]:
    """Let every query of this process go to that file."""
    known = connection.settings_dict["NAME"]
    connection.close()
    connection.settings_dict["NAME"] = base
    try:
        yield
    finally:
        connection.close()
        connection.settings_dict["NAME"] = known


@contextmanager
def rolled_back() -> Iterator[None]:
    """One transaction that leaves nothing behind."""
    with transaction.atomic():
        yield
        transaction.set_rollback(True)


def made_once(folder: Path, *, begun: Path) -> Path:
    """The furnished shop in this folder, made by whichever test process is first.

    begun  a base with every migration
    """
    folder.mkdir(exist_ok=True)
    base = folder / "shop.sqlite3"
    with open(folder / "lock", "w") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        if not base.exists():
            new = folder / "new.sqlite3"
            shutil.copy(begun, new)
            settings.MEDIA_ROOT = folder / "media"
            with over(new):
                _fill()
            os.replace(new, base)
    return base


def _fill() -> None:
    call_command("demo", password=makers.PASSWORD, stdout=io.StringIO())
    furnish()
    with connection.cursor() as cursor:
        cursor.execute("PRAGMA wal_checkpoint(TRUNCATE)")


def own_copy(base: Path, folder: Path) -> Path:
    """A copy for one test process."""
    return Path(shutil.copy(base, folder / "furnished.sqlite3"))
