"""One car's way through the shop, step by step, at times of the past.

Each step is the action behind a button, pressed by somebody of the right role.
"""

from __future__ import annotations

from datetime import datetime, timedelta
from decimal import Decimal
from typing import Any

from jobs.air.prep_actions import use_prep
from jobs.bookings.actions import Agreed, make_booking
from jobs.bookings.arrival_actions import take_in_car
from jobs.checks.actions import add_mark, finish_work
from jobs.condition.agreement_actions import agree_walk_round, approve_marks
from jobs.condition.reading_actions import read_paint, take_reading
from jobs.coverage.catalogue import Body, panels
from jobs.coverage.measured import Car as MeasuredCar
from jobs.customers.actions import VEHICLE_FIELDS
from jobs.demo.cars import Car
from jobs.demo.steps import Steps
from jobs.film.need_queries import film_need
from jobs.handover.actions import give_car
from jobs.models import Booking, Customer, Film, Pull, Roll, Vehicle
from jobs.money.actions import record_deposit, record_payment
from jobs.panels.actions import lay_panel, make_panel_ready
from jobs.panels.inspection_actions import (
    look_at_panel,
    open_defect,
    record_final_look,
    redo_panel,
    touch_up_defect,
)
from jobs.papers.actions import issue_paper
from jobs.public.link_actions import make_link
from jobs.public.link_queries import hash_of, token_of
from jobs.pulls.actions import plan_the_pull
from jobs.pulls.plan import QUICK, plan_job
from jobs.pulls.queries import panels_to_cut, pull_job
from jobs.pulls.stored import freeze
from jobs.pulls.taken_actions import PieceKept, RollTaken, confirm_pull
from jobs.solutions.actions import make_sheet, record_mix
from jobs.stages.queries import is_settled
from jobs.stages.table import Stage, way_on
from jobs.workorders.actions import advance_stage, pause_job, place_car, set_crew
from mixing.bench.actions import empty_vessels
from mixing.models import Chemical, Kind, Substance
from mixing.models import Vessel as VesselRow
from mixing.sheet.queries import sheet_of
from shopapp.frame import Tap, perform
from shopapp.models import Bay, HistoryEntry, Person, Place, the_shop


def _added_work(car: Car) -> tuple[dict[str, Any], ...]:
    return tuple(
        {
            "name": name,
            "minutes": minutes,
            "when": when,
            "skill": skill,
            "price": Decimal(price),
        }
        for name, minutes, when, skill, price in car.added
    )


class Story(Steps):
    """A car on its way, from booking to hand-over."""

    # -- the desk ---------------------------------------------------------------

    def book(
        self, car: Car, *, arrives: datetime, promised: datetime, **fixed: Any
    ) -> int:
        """Book the car with its film; `fixed` is the day, the bay, who lays it."""
        body = Body(car.body)
        film = Film.objects.get(code=car.film)
        need = film_need(
            car.choices,
            film=film,
            size_class=car.size_class,
            car=MeasuredCar(make=car.make, model=car.model, body=body, year=car.year),
        )
        customer = Customer.objects.filter(name=car.owner).first()
        known = Vehicle.objects.filter(customer=customer, plate=car.plate).first()
        typed = {name: getattr(car, name, "") for name in VEHICLE_FIELDS} | {
            "paint_code": ""
        }
        answer = self.do(
            self.cast.desk,
            make_booking,
            customer_pk=customer.pk if customer else None,
            customer={
                "name": car.owner,
                "phone": car.phone,
                "email": f"{car.owner.split()[0].lower()}@example.com",
                "is_account": car.is_account,
            },
            vehicle_pk=known.pk if known else None,
            vehicle=typed,
            agreed=Agreed(
                package=car.package,
                panels=car.choices,
                film=film,
                arrives_at=arrives,
                promised_at=promised,
                film_length_mm=need.length_mm,
                film_width_mm=need.width_mm,
                order_number=car.order_number,
                price=Decimal(car.price),
                deposit=Decimal(0 if car.is_account else 200),
                added_work=_added_work(car),
                any_day=True,
                **fixed,
            ),
        )
        pk = int(answer["pk"])
        if not car.is_account:
            self._pay_deposit(pk)
        return pk

    def _pay_deposit(self, booking_pk: int) -> None:
        # A key of its own: the demo's chances stay what they are.
        key, via = f"demo-deposit-{booking_pk}", HistoryEntry.Via.DEMO
        tap = Tap.made_by(self.cast.desk, at=self.clock, via=via, key=key)
        amount = Decimal(200)
        perform(tap, record_deposit, booking_pk=booking_pk, amount=amount, how="card")

    def take_in(self, booking_pk: int, *, place: Place, key_tag: str) -> None:
        """The car is here."""
        booking = Booking.objects.get(pk=booking_pk)
        self.clock = max(self.clock, booking.arrives_at)
        self.order_pk = self.do(
            self.cast.desk,
            take_in_car,
            booking_pk=booking_pk,
            key_tag=key_tag,
            mileage=self.chance.randrange(40, 38_000),
            place=place,
        )["pk"]

    # -- the floor --------------------------------------------------------------

    def intake(self, *, crew: list[Person]) -> None:
        """Walk round, gauge the paint, agree."""
        self.wait(12)
        self.on_order(self.cast.lead, set_crew, people=crew)
        order = self.order
        covered = [row.panel for row in order.panels.all()]
        for code in covered[:3]:
            if panels()[code].is_gauged:
                self.on_order(
                    self.cast.prep,
                    read_paint,
                    panel=code,
                    thickness_um=float(self.chance.randrange(96, 148)),
                )
        self.on_order(
            self.cast.prep,
            add_mark,
            panel=covered[0],
            kind="stone_chip",
            severity=1,
            size_mm=self.chance.randrange(1, 4),
        )
        self.check_off(self.cast.prep)
        how = (
            "account" if order.on_account else self.chance.choice(["signature", "keys"])
        )
        signed = self.signed() if how == "signature" else {}
        self.on_order(self.cast.desk, agree_walk_round, how=how, **signed)

    def move(self, who: Person, to: Stage) -> None:
        """On to a stage, through what lies before it."""
        self.wait(4)
        while (stage := self.order.stage_now) is not to:
            self.on_order(who, advance_stage, to=way_on(stage), reasons={})

    def prep(self) -> None:
        """Wash, look again, make the panels ready."""
        self.wait(120)
        order = self.order
        if self.chance.random() < 0.5:
            mark = self.on_order(
                self.cast.prep,
                add_mark,
                panel=order.panels.first().panel,  # type: ignore[union-attr]
                kind="scratch_clear",
                severity=1,
                size_mm=12,
            )
            self.on_order(
                self.cast.desk, approve_marks, mark_pks=[mark["pk"]], how="keys"
            )
        for work in order.added_work.filter(done_at=None):
            self.wait(work.minutes)
            self.on_order(self.cast.prep, finish_work, work_pk=work.pk)
        wipe = Chemical.objects.get(substance=Substance.WIPE)
        self.on_order(self.cast.prep, use_prep, chemical=wipe, litres=0.15)
        self.check_off(self.cast.prep)
        for panel in order.panels.all():
            self.on_order(self.cast.prep, make_panel_ready, panel_pk=panel.pk)

    def into_bay(self, bay: Bay) -> None:
        """The car comes to the bay's temperature."""
        self.wait(6)
        self.on_order(self.cast.lead, place_car, bay=bay)

    def mix(self, *, air_c: float, rh_pct: float, panel_c: float) -> None:
        """Read, and mix what this round waits for."""
        self.wait(10)
        self.on_order(
            self.cast.lead, take_reading, air_c=air_c, rh_pct=rh_pct, panel_c=panel_c
        )
        for solution in self.order.solutions.filter(
            round=self.order.round, state="waiting"
        ):
            self.mix_one(solution.kind)

    def mix_one(self, kind: str) -> None:
        """One guided mix in the vessels that the sheet proposes."""
        clean = VesselRow.objects.filter(kind=kind, state="clean", retired=False)
        wanted = list(clean[: 2 if kind == Kind.SLIP else 1])
        version = self.on_order(self.cast.lead, make_sheet, kind=kind, vessels=wanted)[
            "version"
        ]
        row = self.order.sheets.get(version=version)
        sheet = sheet_of(row.facts)
        planned = next(each for each in sheet.solutions if each.kind == kind)
        self.wait(4)
        self.on_order(
            self.cast.lead,
            record_mix,
            version=version,
            kind=kind,
            poured=[
                [pour.amount.value for pour in fill.pours] for fill in planned.fills
            ],
        )

    def pull(self) -> None:
        """Plan and take the film."""
        order = self.order
        panels_left = panels_to_cut(order)
        if not panels_left:
            return
        found = plan_job(pull_job(order.film, [(order, panels_left)]), budget=QUICK)
        quick = freeze(found, system=the_shop().system)
        self.on_order(self.cast.lead, plan_the_pull, quick=quick)
        self.wait(12)
        row = Pull.objects.filter(workorder=order, state=Pull.State.PLANNED).first()
        assert row is not None
        plan = found.plan
        left_on = dict(Roll.objects.values_list("code", "left_mm"))
        self.on_order(
            self.cast.lead,
            confirm_pull,
            pull_pk=row.pk,
            taken=[
                RollTaken(
                    planned_roll=code,
                    roll=code,
                    length_mm=min(
                        length + self.chance.choice([0, 0, 10, 20]), left_on[code]
                    ),
                )
                for code, length in plan.pulls
            ],
            kept=[
                PieceKept(at=at, location="off-cut rack")
                for at, piece in enumerate(plan.new_offcuts)
                if min(piece.width_mm, piece.length_mm) >= 450
            ][:1],
        )

    def lay(self, *, all_but: int = 0) -> None:
        """Lay the panels, all but the last few."""
        order = self.order
        left = [panel for panel in order.panels.all() if panel.laid_at is None]
        if not all_but:
            self.check_off(self.cast.lead)
        for number, panel in enumerate(left[: len(left) - all_but]):
            self.wait(self.chance.randrange(18, 42))
            who = self.cast.lead if number % 3 else self.cast.second
            self.on_order(who, lay_panel, panel_pk=panel.pk)

    def look(self, *, defect: str = "", all_but: int = 0) -> int:
        """Look at every laid panel; find one defect. Its key, or 0."""
        found = 0
        laid = [panel for panel in self.order.panels.all() if panel.laid_at]
        self.wait(20)
        for number, panel in enumerate(laid[: len(laid) - all_but]):
            if defect and number == 1:
                found = self.on_order(
                    self.cast.manager,
                    open_defect,
                    panel_pk=panel.pk,
                    kind=defect,
                    size_mm=6.0,
                )["pk"]
                continue
            self.wait(2)
            self.on_order(self.cast.manager, look_at_panel, panel_pk=panel.pk)
        if not all_but:
            self.check_off(self.cast.manager)
        return found

    def touch_up(self, defect_pk: int) -> None:
        """Put it right on the spot."""
        self.wait(9)
        self.on_order(
            self.cast.lead, touch_up_defect, defect_pk=defect_pk, note="edge re-set"
        )

    def redo(self, defect_pk: int) -> None:
        """New film for one panel."""
        self.wait(5)
        self.on_order(
            self.cast.manager, redo_panel, defect_pk=defect_pk, note="dirt under film"
        )

    def rest(self, place: Place) -> None:
        """Out of the bay, to settle; the vessels are rinsed."""
        self.wait(5)
        self.on_order(self.cast.lead, place_car, place=place)
        self.rinse()

    def rinse(self) -> None:
        """Empty and rinse every vessel that holds something."""
        used = list(VesselRow.objects.exclude(state="clean"))
        if used:
            left = {
                vessel.code: float(self.chance.randrange(40, 220)) for vessel in used
            }
            self.do(self.cast.prep, empty_vessels, vessels=used, left_ml=left)

    def final_look(self) -> None:
        """After the cure time: edges."""
        order = self.order
        assert order.cure_over_at is not None
        self.clock = max(self.clock, order.cure_over_at + timedelta(minutes=30))
        self.on_order(self.cast.manager, record_final_look, outcome="fine")
        self.check_off(self.cast.manager)

    def hand_over(self) -> None:
        """Paid, given, closed."""
        self.wait(25)
        order = self.order
        if not is_settled(order):
            paid = sum(payment.amount for payment in order.payments.all())
            owed = (order.price or Decimal(0)) - paid
            self.on_order(self.cast.desk, record_payment, amount=owed, how="card")
        how = "account" if order.on_account else "person"
        self.on_order(self.cast.desk, give_car, how=how)

    def pause(self, because: str) -> None:
        """Let the job wait."""
        self.on_order(self.cast.lead, pause_job, because=because)

    def print_work_order(self) -> None:
        """Ask for the work order's paper."""
        self.on_order(self.cast.desk, issue_paper, kind="work_order")

    def open_to_customer(self) -> str:
        """Make the customer's secret link; its path."""
        token = token_of(key=f"demo-{self.chance.getrandbits(64):016x}")
        self.on_order(self.cast.desk, make_link, token_hash=hash_of(token), days=60)
        return f"/c/{token}/"
