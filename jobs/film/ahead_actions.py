"""Film for the next day's cars: looked at once each afternoon, said where short."""

from __future__ import annotations

from datetime import datetime

from jobs.film.ahead_queries import next_day_with_cars, short_on
from jobs.models import FilmShortage
from shopapp.background import ring
from shopapp.frame import Act, Json, action
from shopapp.models import the_shop

KIND, SUBJECT = "solvers.film_ahead", "film of the next day"


@action("film.look_ahead")
def look_ahead(act: Act, *, due: datetime) -> None:
    """Ask for the look at the next day's film that is due this afternoon."""
    ring(act, KIND, subject=SUBJECT, due=due)


@action("film.say_short")
def say_short(act: Act) -> Json:
    """Keep what does not reach the next day's cars; each film and day is said once."""
    shop = the_shop()
    day = next_day_with_cars(now=act.now, shop=shop)
    said = []
    for short in short_on(day, shop=shop) if day else ():
        row, is_new = FilmShortage.objects.get_or_create(
            film=short.film,
            day=short.day,
            defaults={
                "there_mm": short.there_mm,
                "wanted_mm": short.wanted_mm,
                "said_at": act.now,
            },
        )
        if is_new:
            row.bookings.set(short.bookings)
            said.append(row.pk)
    return {"said": said}
