"""The demo shop itself: people, bays, film, bottles, and five weeks of work."""

from __future__ import annotations

from datetime import date, datetime, time, timedelta
from functools import partial
from random import Random
from typing import Any

from jobs.demo import cars
from jobs.demo.cars import Car
from jobs.demo.shelf import stock_the_shop
from jobs.demo.steps import Cast
from jobs.demo.story import Story
from jobs.plan.actions import make_plan, publish_plan
from jobs.plan.draft_queries import draft
from jobs.scheduling import quick_plan
from jobs.stages.table import Stage
from shopapp.frame import Answer, Tap, perform
from shopapp.models import Bay, HistoryEntry, Person, Place, the_shop

SEED = 20260105
KEY_TAGS = [f"{letter}{number}" for letter in "AB" for number in range(1, 13)]


class DemoShop:
    """Makes the demo shop, at `now`, the same each time for the same moment."""

    def __init__(self, *, cast: Cast, now: datetime) -> None:
        self.cast = cast
        self.now = now
        self.anchor = self.last_busy_hour(now)
        self.chance = Random(SEED)
        self.zone = the_shop().zone
        self.bays = list(Bay.objects.all())
        self.yard = Place.objects.get(kind=Place.Kind.YARD)
        self.settling = Place.objects.get(kind=Place.Kind.SETTLING)
        self.tags = iter(KEY_TAGS * 3)
        self.customer_page = ""

    def make(self) -> None:
        """Everything, oldest first."""
        stock_the_shop(self.story(self.working_day(-30), 8), chance=self.chance)
        for number, car in enumerate(cars.CLOSED):
            self.closed(car, days_ago=-26 + 2 * number, warm=number % 4)
        self.open_cars()
        self.bookings()
        self.plan()

    # -- time -------------------------------------------------------------------

    def working_day(self, offset: int) -> date:
        """A day so many days from today, moved off Sundays (into the past)."""
        day = self.now.astimezone(self.zone).date() + timedelta(days=offset)
        return day - timedelta(days=1) if day.weekday() == 6 else day

    def last_busy_hour(self, now: datetime) -> datetime:
        """This afternoon, or the end of the last working day."""
        local = now.astimezone(the_shop().zone)
        if local.weekday() < 6 and time(15, 30) <= local.time() <= time(18):
            return now
        days = 1 if local.time() < time(18) else 0
        day = local.date() - timedelta(days=days)
        if day.weekday() == 6:
            day -= timedelta(days=1)
        return datetime.combine(day, time(17), tzinfo=the_shop().zone)

    def before(self, days: int) -> date:
        """So many working days before the last busy one."""
        day = self.anchor.astimezone(self.zone).date()
        for _ in range(days):
            day -= timedelta(days=2 if day.weekday() == 0 else 1)
        return day

    def at(self, day: date, hour: int, minute: int = 0) -> datetime:
        """A moment of a day in the shop's zone."""
        return datetime.combine(day, time(hour, minute), tzinfo=self.zone)

    def story(self, day: date, hour: int, minute: int = 0) -> Story:
        """A car's story that begins at this moment."""
        return Story(
            cast=self.cast, chance=self.chance, clock=self.at(day, hour, minute)
        )

    def ago(self, hours: float) -> Story:
        """A story that began so many hours before now."""
        return Story(
            cast=self.cast,
            chance=self.chance,
            clock=self.anchor - timedelta(hours=hours),
        )

    # -- cars -------------------------------------------------------------------

    def begin(
        self, story: Story, car: Car, *, stay_days: int, place: Place | None = None
    ) -> None:
        """Booked some days before, taken in now."""
        arrives = story.clock
        story.clock = arrives - timedelta(days=6)
        leaves = arrives.astimezone(self.zone).date() + timedelta(days=stay_days)
        if leaves.weekday() == 6:
            leaves += timedelta(days=1)
        booking = story.book(car, arrives=arrives, promised=self.at(leaves, 16, 30))
        story.clock = arrives
        story.take_in(booking, place=place or self.yard, key_tag=next(self.tags))

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
        story = self.story(self.working_day(days_ago), 8, 20)
        self.begin(story, car, stay_days=2)
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
        self.begin(story, cars.IN_INTAKE, stay_days=2)
        story.wait(5)

    def _settled(self) -> None:
        story = self.story(self.before(2), 8, 30)
        self.begin(story, cars.SETTLED, stay_days=2)
        self.to_install(story, bay=self.bays[0])
        story.lay()
        story.move(self.cast.lead, Stage.INSPECTION)
        story.look()
        story.move(self.cast.manager, Stage.CURE)
        story.rest(self.settling)

    def _settling(self) -> None:
        story = self.story(self.before(1), 13, 10)
        self.begin(story, cars.SETTLING, stay_days=3)
        morning = self.at(self.before(0), 8, 5)
        self.to_install(story, bay=self.bays[1], warm=2, not_before=morning)
        story.lay()
        story.move(self.cast.lead, Stage.INSPECTION)
        story.look()
        story.move(self.cast.manager, Stage.CURE)
        story.rest(self.settling)
        story.print_work_order()
        self.customer_page = story.open_to_customer()

    def _redo(self) -> None:
        story = self.story(self.before(1), 8, 40)
        self.begin(story, cars.REDO, stay_days=2)
        self.to_install(story, bay=self.bays[2], warm=2)
        story.lay()
        story.move(self.cast.lead, Stage.INSPECTION)
        found = story.look(defect="dirt")
        story.rinse()
        story.redo(found)
        story.print_work_order()

    def _inspection(self) -> None:
        story = self.story(self.before(1), 9, 30)
        self.begin(story, cars.IN_INSPECTION, stay_days=2)
        self.to_install(story, bay=self.bays[1], warm=1)
        story.lay()
        story.move(self.cast.lead, Stage.INSPECTION)
        story.look(defect="water_pocket", all_but=2)
        story.rinse()

    def _paused(self) -> None:
        story = self.story(self.before(1), 10, 15)
        self.begin(story, cars.PAUSED, stay_days=2)
        story.intake(crew=[self.cast.prep])
        story.move(self.cast.lead, Stage.PREP)
        story.pause("The customer decides about a repainted fender.")

    def _install(self) -> None:
        story = self.ago(7)
        self.begin(story, cars.IN_INSTALL, stay_days=2)
        self.to_install(story, bay=self.bays[0], warm=2)
        story.lay(all_but=3)
        story.print_work_order()

    def _prep(self) -> None:
        story = self.ago(3)
        self.begin(story, cars.IN_PREP, stay_days=2)
        story.intake(crew=[self.cast.prep, self.cast.lead])
        story.move(self.cast.lead, Stage.PREP)

    def bookings(self) -> None:
        """Cars that arrive today and in the next days."""
        for number, car in enumerate(cars.BOOKED):
            day = self.now.astimezone(self.zone).date() + timedelta(days=number)
            if day.weekday() == 6:
                day += timedelta(days=1)
            story = self.ago(30 + number)
            arrives = max(self.at(day, 9 + number), self.now + timedelta(hours=1))
            leaves = arrives.astimezone(self.zone).date() + timedelta(days=2)
            if leaves.weekday() == 6:
                leaves += timedelta(days=1)
            story.book(car, arrives=arrives, promised=self.at(leaves, 16, 30))

    def plan(self) -> None:
        """The manager's plan of all these cars, by rules alone: the same each time."""
        by_rules = partial(quick_plan, seconds=0)
        proposed = self._press(make_plan, quick=draft(now=self.now, search=by_rules))
        self._press(publish_plan, plan_pk=proposed["pk"])

    def _press(self, do: Any, **facts: Any) -> Answer:
        via = HistoryEntry.Via.DEMO
        key = f"demo-{do.action_name}"
        tap = Tap.made_by(self.cast.manager, at=self.now, via=via, key=key)
        return perform(tap, do, **facts)


def cast_of(people: dict[str, Person]) -> Cast:
    """The people of the demo shop by the part they play."""
    return Cast(**people)
