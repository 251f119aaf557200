"""Who may do what: one table from action to roles, one decorator that looks it up.

Not yours to see is a 404 from the view; not yours to do is a 403 from here.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta
from functools import wraps
from typing import Any

from django.contrib.auth.decorators import login_not_required
from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponse
from django.utils import timezone

from shopapp.held_press import sent_to
from shopapp.models import Person, Role
from shopapp.sessions import is_fresh

View = Callable[..., HttpResponse]

DESK, INSTALLER, MANAGER = Role.DESK, Role.INSTALLER, Role.MANAGER
EVERYONE = frozenset({DESK, INSTALLER, MANAGER})
OFFICE = frozenset({DESK, MANAGER})
FLOOR = frozenset({INSTALLER, MANAGER})
MANAGERS = frozenset({MANAGER})
OWN_PAGE = "person.own"

ALLOWED: dict[str, frozenset[Role]] = {
    # the building
    "home.view": EVERYONE,
    "shop.view": MANAGERS,
    "shop.change": MANAGERS,
    "openday.change": MANAGERS,
    "holiday.add": MANAGERS,
    "holiday.remove": MANAGERS,
    "backup.view": MANAGERS,
    "backup.change": MANAGERS,
    "backup.ask": MANAGERS,
    "bay.change": MANAGERS,
    "air.change": MANAGERS,
    "place.change": MANAGERS,
    "person.change": MANAGERS,
    "person.renew": MANAGERS,
    "person.own": EVERYONE,
    "signin.end": EVERYONE,
    "signin.view": MANAGERS,
    "signin.stop": MANAGERS,
    "device.enrol": MANAGERS,
    "device.revoke": MANAGERS,
    "shift.change": MANAGERS,
    "supply.view": EVERYONE,
    "supply.low": EVERYONE,
    "supply.add": EVERYONE,
    "supply.order": EVERYONE,
    "supply.here": EVERYONE,
    "absence.view": OFFICE,
    "absence.add": OFFICE,
    "absence.take_back": OFFICE,
    "rule.change": MANAGERS,
    "rule.enforce": MANAGERS,
    "acceptance.change": MANAGERS,
    "cure.change": MANAGERS,
    "packagehours.change": MANAGERS,
    "planrule.change": MANAGERS,
    "feed.make": MANAGERS,
    "feed.revoke": MANAGERS,
    "laying.change": MANAGERS,
    "price.view": OFFICE,
    "price.change": MANAGERS,
    "price.raise": MANAGERS,
    "price.fill": MANAGERS,
    "newshop.view": MANAGERS,
    "newshop.name": MANAGERS,
    "newshop.take_over": MANAGERS,
    "newshop.solutions": MANAGERS,
    "newshop.try": MANAGERS,
    "tax.change": MANAGERS,
    "figure.view": EVERYONE,
    "file.view": EVERYONE,
    "look.view": MANAGERS,
    # the car's path
    "floor.view": EVERYONE,
    "search.view": EVERYONE,
    "plan.view": EVERYONE,
    "plan.make": MANAGERS,
    "plan.stop": MANAGERS,
    "plan.publish": MANAGERS,
    "plan.drop": MANAGERS,
    "plan.move": OFFICE,
    "booking.view": EVERYONE,
    "booking.make": OFFICE,
    "booking.make_many": OFFICE,
    "booking.walk_in": OFFICE,
    "booking.change": OFFICE,
    "booking.move": OFFICE,
    "booking.cancel": OFFICE,
    "booking.restore": OFFICE,
    "estimate.view": OFFICE,
    "estimate.make": OFFICE,
    "estimate.change": OFFICE,
    "estimate.print": OFFICE,
    "estimate.accept": OFFICE,
    "estimate.end": OFFICE,
    "estimaterule.change": MANAGERS,
    "confirmation.print": OFFICE,
    "deposit.record": OFFICE,
    "deposit.reverse": OFFICE,
    "booking.cost": MANAGERS,
    "customer.view": OFFICE,
    "customer.change": OFFICE,
    "customer.merge": OFFICE,
    "vehicle.change": OFFICE,
    "vehicle.merge": OFFICE,
    "arrival.view": EVERYONE,
    "arrival.take_in": EVERYONE,
    "workorder.view": EVERYONE,
    "workorder.advance": FLOOR,
    "workorder.pause": EVERYONE,
    "workorder.resume": EVERYONE,
    "workorder.place": EVERYONE,
    "workorder.crew": EVERYONE,
    "workorder.agree": EVERYONE,
    "workorder.promise": OFFICE,
    "promise.doubt": EVERYONE,
    "promise.tell": OFFICE,
    "promise.keep": OFFICE,
    "work.view": EVERYONE,
    "checklist.view": EVERYONE,
    "checklist.answer": EVERYONE,
    "checklist.change": MANAGERS,
    "mark.add": EVERYONE,
    "mark.approve": EVERYONE,
    "paint.read": FLOOR,
    "reading.take": FLOOR,
    "safety.view": EVERYONE,
    "prep.use": FLOOR,
    "prep.more": FLOOR,
    "prep.undo": FLOOR,
    "heat.check": FLOOR,
    "panel.ready": FLOOR,
    "panel.all_ready": FLOOR,
    "panel.lay": FLOOR,
    "panel.unlay": FLOOR,
    "panel.strike": FLOOR,
    "panel.look": FLOOR,
    "panel.all_looked": FLOOR,
    "panel.unlook": FLOOR,
    "panel.measure": FLOOR,
    "defect.open": FLOOR,
    "defect.touch_up": FLOOR,
    "defect.redo": FLOOR,
    "defect.redo_undo": FLOOR,
    "defect.watch": FLOOR,
    "defect.accept": MANAGERS,
    "addition.view": EVERYONE,
    "addition.offer": EVERYONE,
    "addition.answer": EVERYONE,
    "addition.take_back": EVERYONE,
    "menuwork.change": MANAGERS,
    "addedwork.add": EVERYONE,
    "addedwork.done": EVERYONE,
    "finallook.record": FLOOR,
    "handover.view": OFFICE,
    "handover.give": OFFICE,
    "payment.record": OFFICE,
    "payment.reverse": OFFICE,
    "discount.give": OFFICE,
    "discount.take_back": OFFICE,
    "account.view": OFFICE,
    "account.pay": OFFICE,
    "receipt.reverse": OFFICE,
    "receipt.print": OFFICE,
    "invoice.make": OFFICE,
    "invoice.reverse": OFFICE,
    "invoice.print": OFFICE,
    "statement.print": OFFICE,
    "mail.send": OFFICE,
    "mail.text": OFFICE,
    "mail.settle": OFFICE,
    "mail.change": MANAGERS,
    "mail.reword": MANAGERS,
    "mail.try": MANAGERS,
    "link.make": OFFICE,
    "link.revoke": OFFICE,
    "report.settle": OFFICE,
    "film.register": OFFICE,
    "recheck.book": OFFICE,
    "recheck.record": EVERYONE,
    "return.begin": EVERYONE,
    "return.fault": EVERYONE,
    "return.settle": EVERYONE,
    "return.payer": OFFICE,
    "comeback.view": MANAGERS,
    "film.view": EVERYONE,
    "film.change": MANAGERS,
    "film.change_all": MANAGERS,
    "film.cost": MANAGERS,
    "film.order": OFFICE,
    "film.call_off": OFFICE,
    "film.return": FLOOR,
    "film.export": OFFICE,
    "roll.receive": EVERYONE,
    "roll.receive_all": OFFICE,
    "roll.count": EVERYONE,
    "pull.plan": EVERYONE,
    "pull.plan_day": EVERYONE,
    "pull.drop": EVERYONE,
    "pull.recut": FLOOR,
    "pull.confirm": FLOOR,
    "pull.unplanned": FLOOR,
    "offcut.keep": FLOOR,
    "offcut.scrap": FLOOR,
    "offcut.use": FLOOR,
    "panelsize.add": FLOOR,
    "panelsize.allow": MANAGERS,
    "paper.view": EVERYONE,
    "paper.issue": EVERYONE,
    "paper.again": EVERYONE,
    "label.issue": EVERYONE,
    "register.issue": EVERYONE,
    "daysheet.issue": EVERYONE,
    "desksheet.issue": OFFICE,
    "morning.issue": OFFICE,
    "planweek.issue": EVERYONE,
    "plan.export": OFFICE,
    # the bottle's path
    "mix.view": EVERYONE,
    "mix.plan": FLOOR,
    "mix.print": EVERYONE,
    "mix.record": FLOOR,
    "mix.pour_from": FLOOR,
    "mix.top_up": FLOOR,
    "mix.skip": FLOOR,
    "mix.take": FLOOR,
    "vessel.view": EVERYONE,
    "vessel.change": MANAGERS,
    "vessel.retire": MANAGERS,
    "kind.mark": MANAGERS,
    "vessel.empty": FLOOR,
    "vessel.unknown": FLOOR,
    "bench.view": EVERYONE,
    "bench.change": MANAGERS,
    "recipe.view": EVERYONE,
    "recipe.change": MANAGERS,
    "flashpoint.view": EVERYONE,
    "flashpoint.enter": MANAGERS,
    "flashpoint.withdraw": MANAGERS,
    "stock.view": EVERYONE,
    "stock.receive": FLOOR,
    "stock.open": FLOOR,
    "stock.count": FLOOR,
    "stock.discard": FLOOR,
    "stock.change": FLOOR,
    "chemical.view": EVERYONE,
    "chemical.change": MANAGERS,
    "chemical.name": FLOOR,
    "spot.change": MANAGERS,
    "ruleset.view": EVERYONE,
    "ruleset.add": MANAGERS,
    "ruleset.change": MANAGERS,
    "water.test": FLOOR,
    "dispenser.change": MANAGERS,
    "dispenser.calibrate": FLOOR,
    "dispenser.weigh": FLOOR,
}
"""Permission `noun.verb` to the roles that hold it; the same verb as the action."""


SOON, WITHIN_THE_HOUR = timedelta(minutes=5), timedelta(hours=1)
FRESH: dict[str, timedelta] = {
    **dict.fromkeys(
        (
            *("person.change", "person.renew", "signin.view", "signin.stop"),
            *("device.enrol", "device.revoke"),
            *("backup.view", "backup.change", "backup.ask"),
            *("film.export", "plan.export"),
        ),
        SOON,
    ),
    **dict.fromkeys(
        (
            *("price.change", "price.raise", "price.fill", "tax.change"),
            *("menuwork.change", "rule.change", "rule.enforce", "acceptance.change"),
            *("planrule.change", "ruleset.add", "ruleset.change"),
        ),
        WITHIN_THE_HOUR,
    ),
}
"""Permissions that ask for the password, where it was not typed so lately."""


def may(person: object, permission: str) -> bool:
    """True when the person holds the permission and this sign-in opens it.

    Raises KeyError for a typo.
    """
    allowed = ALLOWED[permission]
    if not isinstance(person, Person) or not person.roles & allowed:
        return False
    return person.limited_to is None or bool(person.limited_to & allowed)


def asks_for_password(person: Person, permission: str) -> bool:
    """Whether somebody who holds it has to type the password first."""
    if not may(person, permission):
        return True
    within = FRESH.get(permission)
    if within is None or person.sign_in is None:
        return False
    return not is_fresh(person.sign_in, within=within, now=timezone.now())


def allow(permission: str) -> Callable[[View], View]:
    """Let only those who hold `permission` into a view.

    Looked up at import, so that a typo stops the server and not a person.
    """
    ALLOWED[permission]

    def mark(view: View) -> View:
        @wraps(view)
        def guarded(request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
            person = request.user
            if not isinstance(person, Person) or not person.roles & ALLOWED[permission]:
                raise PermissionDenied
            if permission != OWN_PAGE and has_to_choose(person):
                return sent_to(request, "shopapp:own")
            if asks_for_password(person, permission):
                return sent_to(request, "shopapp:give_password")
            return view(request, *args, **kwargs)

        guarded.permission = permission  # type: ignore[attr-defined]
        return guarded

    return mark


def has_to_choose(person: Person) -> bool:
    """Whether a password that somebody else made has opened this sign-in."""
    by_pin = person.sign_in is not None and person.sign_in.password_at is None
    return person.password_is_temporary and not by_pin


def open_to_all(view: View) -> View:
    """A view that needs no login: sign-in, health, a customer's secret link."""
    opened: View = login_not_required(view)
    opened.permission = ""  # type: ignore[attr-defined]
    return opened
