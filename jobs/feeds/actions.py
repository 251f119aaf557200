"""A manager opens a calendar feed, and shuts it."""

from __future__ import annotations

from jobs.models import CalendarFeed
from shopapp.frame import Act, Json, Refused, action
from shopapp.models import Bay, Person, Shop
from shopapp.say import say


@action("feed.make")
def make_feed(
    act: Act,
    *,
    token_hash: str,
    bay: Bay | None = None,
    person: Person | None = None,
) -> Json:
    """Open a feed to whoever holds the token; neither bay nor person: hand-overs."""
    if bay and person:
        raise Refused(say("Choose a bay or a person, not both."), field="whose")
    row = CalendarFeed.objects.create(
        bay=bay,
        person=person,
        token_hash=token_hash,
        made_by=act.tap.by,
        made_at=act.now,
    )
    return {"pk": row.pk}


@action("feed.revoke")
def revoke_feed(act: Act, *, feed_pk: int) -> Json:
    """Shut a feed: its address is good for nothing from now on."""
    act.lock(Shop, 1)
    row = CalendarFeed.objects.filter(pk=feed_pk, revoked_at=None).first()
    if row is None:
        raise Refused(say("This feed is shut already."))
    row.revoked_at = act.now
    row.save(update_fields=["revoked_at"])
    return {"pk": row.pk}
