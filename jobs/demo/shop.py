"""The demo shop itself: people, bays, film, bottles, and five weeks of work."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from random import Random
from typing import Any

from jobs.crews.actions import add_absence
from jobs.demo import cars
from jobs.demo.account import keep_accounts
from jobs.demo.additions import sell_more
from jobs.demo.cars import Car
from jobs.demo.days import DemoDays
from jobs.demo.desk import BY_RULES, promise_for, to_book
from jobs.demo.estimates import offer_packages
from jobs.demo.mails import write_some
from jobs.demo.returns import come_back
from jobs.demo.said import ask_about_a_mark, write_to_the_shop
from jobs.demo.shelf import stock_the_shop
from jobs.demo.steps import Cast
from jobs.demo.story import Story
from jobs.plan.actions import make_plan, publish_plan
from jobs.plan.draft_queries import draft
from jobs.stages.table import Stage
from shopapp.frame import Answer, Tap, perform
from shopapp.models import Bay, HistoryEntry, Person, Place

SEED = 20260105
KEY_TAGS = [f"{letter}{number}" for letter in "AB" for number in range(1, 13)]


class DemoShop:
    """Makes the demo shop, at `now`, the same each time for the same moment."""

    def __init__(self, *, cast: Cast, now: datetime) -> None:
        self.cast = cast
        self.now = now
        self.days = DemoDays(now)
        self.chance = Random(SEED)
        self.bays = list(Bay.objects.all())
        self.yard = Place.objects.get(kind=Place.Kind.YARD)
        self.settling = Place.objects.get(kind=Place.Kind.SETTLING)
        self.tags = iter(KEY_TAGS * 3)
        self.customer_page = ""

    def make(self) -> None:
        """Everything, oldest first."""
        self.stock()
        for number, car in enumerate(cars.CLOSED):
            self.closed(car, days_ago=26 - 2 * number, warm=number % 4)
        keep_accounts(by=self.cast.desk, now=self.days.now)
        self.open_cars()
        offer_packages(by=self.cast.desk, now=self.days.now)
        self.bookings()
        come_back(cast=self.cast, at=self.days.anchor - timedelta(hours=2))
        write_to_the_shop(cast=self.cast, at=self.days.anchor - timedelta(hours=1))
        write_some(cast=self.cast, at=self.days.anchor)
        self.plan()

    def stock(self) -> None:
        """What stands in the shop."""
        stock_the_shop(self.story(self.days.ago(30), 8), chance=self.chance)

    def story(self, day: date, hour: int, minute: int = 0) -> Story:
        """A car's story that begins at this moment."""
        return self._story(self.days.at(day, hour, minute))

    def ago(self, hours: float) -> Story:
        """A story that began so many hours before the last busy one."""
        return self._story(self.days.anchor - timedelta(hours=hours))

    def _story(self, clock: datetime) -> Story:
        return Story(cast=self.cast, chance=self.chance, clock=clock)

    # -- cars -------------------------------------------------------------------

    def begin(self, story: Story, car: Car, *, promised: datetime) -> None:
        """Booked some days before, taken in now."""
        arrives = story.clock
        story.clock = arrives - timedelta(days=6)
        booking = story.book(car, arrives=arrives, promised=promised)
        story.clock = arrives
        story.take_in(booking, place=self.yard, key_tag=next(self.tags))

    def begin_open(
        self, story: Story, car: Car, *, work_h: float = 0, is_laid: bool = False
    ) -> None:
        """A car that is here still; its promise as `promise_for` says it."""
        promised = promise_for(car, days=self.days, work_h=work_h, is_laid=is_laid)
        self.begin(story, car, promised=promised)

    def to_install(
        self,
        story: Story,
        *,
        bay: Bay,
        warm: int = 1,
        not_before: datetime | None = None,
    ) -> None:
        """Through intake and prep into a bay, read and mixed, film pulled."""
        story.intake(crew=[self.cast.lead, self.cast.prep])
        story.move(self.cast.lead, Stage.PREP)
        story.prep()
        story.clock = max(story.clock, not_before or story.clock)
        story.into_bay(bay)
        story.move(self.cast.lead, Stage.INSTALL)
        self.mix(story, warm=warm)
        story.pull()

    def mix(self, story: Story, *, warm: int) -> None:
        """A reading of a cool, mild, warm or hot day, and the solutions for it."""
        air_c = (17.5, 21.0, 24.5, 28.5)[warm] + self.chance.random()
        story.mix(
            air_c=round(air_c, 1),
            rh_pct=float(self.chance.randrange(42, 63)),
            panel_c=round(air_c + (-1.0, 0.5, 1.5, 2.5)[warm], 1),
        )

    def closed(self, car: Car, *, days_ago: int, warm: int) -> None:
        """A car of the weeks before, from booking to hand-over."""
        day = self.days.ago(days_ago)
        story = self.story(day, 8, 20)
        self.begin(story, car, promised=self.days.closing(day + timedelta(days=2)))
        self.to_install(story, bay=self.bays[days_ago % 2], warm=warm)
        story.lay()
        story.move(self.cast.lead, Stage.INSPECTION)
        found = story.look(defect="lifted_edge" if days_ago % 3 == 0 else "")
        if found:
            story.touch_up(found)
        story.move(self.cast.manager, Stage.CURE)
        story.rest(self.settling)
        story.final_look()
        story.hand_over()

    def open_cars(self) -> None:
        """One car in every stage, a paused one, a redo, a dealer's car."""
        self._settled()
        self._settling()
        self._redo()
        self._inspection()
        self._paused()
        self._install()
        self._prep()
        story = self.ago(0.6)
        self.begin_open(story, cars.IN_INTAKE, work_h=20)
        story.wait(5)

    def _settled(self) -> None:
        story = self.story(self.days.before(2), 8, 30)
        self.begin_open(story, cars.SETTLED, is_laid=True)
        self.to_install(story, bay=self.bays[0])
        story.lay()
        story.move(self.cast.lead, Stage.INSPECTION)
        story.look()
        story.move(self.cast.manager, Stage.CURE)
        story.rest(self.settling)

    def _settling(self) -> None:
        story = self.story(self.days.before(1), 13, 10)
        self.begin_open(story, cars.SETTLING, is_laid=True)
        morning = self.days.at(self.days.before(0), 8, 5)
        self.to_install(story, bay=self.bays[1], warm=2, not_before=morning)
        story.lay()
        story.move(self.cast.lead, Stage.INSPECTION)
        story.look()
        story.move(self.cast.manager, Stage.CURE)
        story.rest(self.settling)
        story.print_work_order()
        self.customer_page = story.open_to_customer()

    def _redo(self) -> None:
        story = self.story(self.days.before(1), 8, 40)
        # Nobody has called its customer yet: a new panel settles overnight.
        self.begin(story, cars.REDO, promised=self.days.closing(self.days.now.date()))
        self.to_install(story, bay=self.bays[2], warm=2)
        story.lay()
        story.move(self.cast.lead, Stage.INSPECTION)
        found = story.look(defect="dirt")
        story.rinse()
        story.redo(found)
        story.print_work_order()

    def _inspection(self) -> None:
        story = self.story(self.days.before(1), 9, 30)
        self.begin_open(story, cars.IN_INSPECTION, is_laid=True)
        self.to_install(story, bay=self.bays[1], warm=1)
        story.lay()
        story.move(self.cast.lead, Stage.INSPECTION)
        story.look(defect="water_pocket", all_but=2)
        story.rinse()

    def _paused(self) -> None:
        story = self.story(self.days.before(1), 10, 15)
        self.begin_open(story, cars.PAUSED, work_h=27)
        story.intake(crew=[self.cast.prep])
        story.move(self.cast.lead, Stage.PREP)
        ask_about_a_mark(story)
        story.pause("The customer decides about a repainted fender.")

    def _install(self) -> None:
        story = self.ago(7)
        self.begin_open(story, cars.IN_INSTALL, work_h=4)
        self.to_install(story, bay=self.bays[0], warm=2)
        story.lay(all_but=3)
        story.print_work_order()

    def _prep(self) -> None:
        story = self.ago(3)
        self.begin_open(story, cars.IN_PREP, work_h=14)
        story.intake(crew=[self.cast.prep, self.cast.lead])
        story.move(self.cast.lead, Stage.PREP)
        sell_more(story)

    def bookings(self) -> None:
        """Cars that arrive today and over the next week and a half; a day off."""
        self._press(
            add_absence, person_pk=self.cast.second.pk, first_day=self.days.day_off
        )
        booked = to_book(days=self.days, cast=self.cast)
        for number, each in enumerate(booked):
            self.ago(30 + number).book(
                each.car,
                arrives=each.arrives_at,
                promised=each.promised_at,
                **each.wish,
            )

    def plan(self) -> None:
        """The manager's plan of all these cars, by rules alone: the same each time."""
        quick = draft(now=self.now, search=BY_RULES)
        proposed = self._press(make_plan, quick=quick)
        self._press(publish_plan, plan_pk=proposed["pk"])

    def _press(self, do: Any, **facts: Any) -> Answer:
        via = HistoryEntry.Via.DEMO
        key = f"demo-{do.action_name}"
        tap = Tap.made_by(self.cast.manager, at=self.now, via=via, key=key)
        return perform(tap, do, **facts)


def cast_of(people: dict[str, Person]) -> Cast:
    """The people of the demo shop by the part they play."""
    return Cast(**people)
