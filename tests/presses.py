"""Something right to send to every button of the shop, from the page it stands on.

`PRESSES` names each POST view. An entry makes the rows that its button needs, by the
shop's own actions, and says what a person fills in; everything else is taken from
the form as the page shows it. A POST view without an entry fails `test_double_posts`.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import date, timedelta
from typing import Any
from urllib.parse import urlencode

from django.core.files.uploadedfile import SimpleUploadedFile
from django.http import QueryDict
from django.urls import reverse
from django.utils import timezone

from jobs.additions.actions import add_work
from jobs.additions.queries import edges_to_offer
from jobs.air.prep_actions import use_prep
from jobs.bookings.actions import cancel_booking
from jobs.coverage.catalogue import Package
from jobs.crews.actions import add_absence
from jobs.dealers.forms import CarListForm
from jobs.models import (
    Customer,
    CustomerEstimate,
    FilmMovement,
    Mail,
    MailWords,
    OrderPanel,
    Paper,
    Pull,
    Supply,
    WorkOrder,
)
from jobs.money.actions import record_payment
from jobs.money.queries import money_of
from jobs.panels.actions import (
    lay_panel,
    make_panel_ready,
    measure_panel,
    strike_panel,
)
from jobs.panels.inspection_actions import look_at_panel, record_final_look, redo_panel
from jobs.promises.actions import doubt_promise
from jobs.pulls.actions import drop_pull
from jobs.solutions.actions import make_sheet, record_mix
from mixing.models import (
    Batch,
    Chemical,
    Dispenser,
    Kind,
    StockContainer,
    WaterTest,
)
from mixing.sheet.queries import sheet_of
from mixing.shelf.actions import receive_stock
from shopapp.models import SignIn, StoredFile
from tests.furnished import Furnished, do
from tests.jobs.plan.plans import keep_plan
from tests.makers import PASSWORD, make_customer, make_vehicle

Typed = dict[str, Any]
SIGNED = "[[[40, 80], [120, 140], [200, 70], [290, 130], [380, 90]]]"
"""Strokes of a finger, as the page sends them."""


@dataclass(frozen=True, kw_only=True)
class Press:
    """One button: where it stands, what is filled in, what else might be.

    args   the URL's arguments
    page   name of the page it stands on, which takes `page_args`; "" for a button
           that only the tablet's script or a list before it can bring
    typed  what a person fills in or taps
    other  something else to send with the same key; None where there is nothing
    """

    args: Typed = field(default_factory=dict)
    page: str = ""
    page_args: Typed = field(default_factory=dict)
    query: str = ""
    typed: Typed = field(default_factory=dict)
    other: Typed | None = None

    @property
    def page_url(self) -> str:
        """Where the button stands."""
        return reverse(self.page, kwargs=self.page_args) + self.query


Make = Callable[[Furnished], Press]
PRESSES: dict[str, Make] = {}
LOOKS: dict[str, Make] = {}
"""POSTs that only look something over and keep nothing."""

NOT_PRESSES = {
    "shopapp:first_manager",
    "shopapp:give_password",
    "shopapp:sign_in",
    "shopapp:sign_out",
    "shopapp:switch",
}
"""They change who is acting, not the shop: `tests/shopapp/test_signing_in.py`."""


def press(name: str, *, among: dict[str, Make] = PRESSES) -> Callable[[Make], Make]:
    """Note the maker of a button's press."""

    def note(make: Make) -> Make:
        assert name not in among, name
        among[name] = make
        return make

    return note


def on_order(order: WorkOrder, page: str, **more: Any) -> Press:
    """A button on a page of an order."""
    known: Typed = {"args": {"pk": order.pk}, **more}
    return Press(page=f"jobs:{page}", page_args={"pk": order.pk}, **known)


def on_panel(panel: OrderPanel, **more: Any) -> Press:
    """A button on a panel's row."""
    args = {"pk": panel.workorder_id, "panel_pk": panel.pk}
    return on_order(panel.workorder, "workorder_panels", args=args, **more)


def local(days: int, hour: int = 10) -> str:
    """A moment as a browser's field holds it."""
    at = timezone.localtime() + timedelta(days=days)
    return at.replace(hour=hour, minute=0).strftime("%Y-%m-%dT%H:%M")


def workday(days: int) -> str:
    """The same, on the day that is so many days of work ahead."""
    day, left = timezone.localtime(), days
    while left:
        day += timedelta(days=1)
        left -= day.weekday() < 5
    return day.replace(hour=10, minute=0).strftime("%Y-%m-%dT%H:%M")


def date_in(days: int) -> date:
    """The shop's day in so many days."""
    return timezone.localdate() + timedelta(days=days)


# -- the order -------------------------------------------------------------------


@press("jobs:workorder_advance")
def _(shop: Furnished) -> Press:
    typed = {"to": "prep"}
    return on_order(shop.intake, "workorder_detail", typed=typed)


@press("jobs:workorder_pause")
def _(shop: Furnished) -> Press:
    typed, other = {"usual": "parts"}, {"usual": "film"}
    return on_order(shop.intake, "workorder_detail", typed=typed, other=other)


@press("jobs:workorder_resume")
def _(shop: Furnished) -> Press:
    return on_order(shop.paused, "workorder_detail")


@press("jobs:workorder_place")
def _(shop: Furnished) -> Press:
    settling, yard = shop.settling_place, shop.intake.place
    assert yard is not None
    return on_order(
        shop.intake,
        "workorder_detail",
        typed={"where": f"place-{settling.pk}"},
        other={"where": f"place-{yard.pk}"},
    )


@press("jobs:workorder_crew")
def _(shop: Furnished) -> Press:
    people = {"people": [shop.mara.pk, shop.nora.pk]}
    return on_order(
        shop.intake, "workorder_detail", typed=people, other={"people": [shop.mara.pk]}
    )


@press("jobs:workorder_promise")
def _(shop: Furnished) -> Press:
    typed, other = {"promised_at": local(9)}, {"promised_at": local(10)}
    return on_order(shop.intake, "workorder_detail", typed=typed, other=other)


@press("jobs:promise_doubt")
def _(shop: Furnished) -> Press:
    typed, other = {"because": "parts"}, {"because": "film"}
    return on_order(shop.intake, "workorder_detail", typed=typed, other=other)


def _doubted(shop: Furnished, **more: Any) -> Press:
    do(shop.mara, doubt_promise, workorder_pk=shop.intake.pk)
    return Press(args={"pk": shop.intake.pk}, page="jobs:calls", **more)


@press("jobs:promise_tell")
def _(shop: Furnished) -> Press:
    typed, other = {"promised_at": local(9)}, {"promised_at": local(10)}
    return _doubted(shop, typed=typed, other=other)


@press("jobs:promise_keep")
def _(shop: Furnished) -> Press:
    return _doubted(shop)


@press("jobs:checklist_answer")
def _(shop: Furnished) -> Press:
    row, item = shop.tick_item(shop.prep)
    args = {"pk": shop.prep.pk, "list_pk": row.pk, "item": item.code}
    return on_order(shop.prep, "workorder_checks", args=args, other={"ticked": ""})


@press("jobs:mark_add")
def _(shop: Furnished) -> Press:
    panel = shop.panels(shop.prep)[1].panel
    typed = {"panel": panel, "kind": "stone_chip", "severity": "2", "size_mm": "3"}
    other = {"severity": "3"}
    return on_order(shop.prep, "workorder_checks", typed=typed, other=other)


@press("jobs:marks_approve")
def _(shop: Furnished) -> Press:
    typed, other = {"how": "phone", "name": "Robin Ash"}, {"name": "Lee Ash"}
    return on_order(shop.prep, "workorder_checks", typed=typed, other=other)


@press("jobs:workorder_agree")
def _(shop: Furnished) -> Press:
    typed = {"name": "Robin Ash", "strokes": SIGNED}
    return on_order(
        shop.intake, "workorder_sign", typed=typed, other={"name": "Lee Ash"}
    )


@press("jobs:paint_read")
def _(shop: Furnished) -> Press:
    args = {"pk": shop.intake.pk, "panel": "hood"}
    return on_order(
        shop.intake,
        "workorder_checks",
        args=args,
        typed={"thickness_um": "118"},
        other={"thickness_um": "119"},
    )


@press("jobs:addedwork_add")
def _(shop: Furnished) -> Press:
    typed = {"name": "coating", "minutes": "60", "when": "in_prep", "skill": "prep"}
    return on_order(shop.prep, "additions", typed=typed, other={"minutes": "90"})


def _on_offer(shop: Furnished, **more: Any) -> Press:
    offer = next(each for each in shop.offers if each.workorder_id == shop.prep.pk)
    args = {"pk": shop.prep.pk, "addition_pk": offer.pk}
    return on_order(shop.prep, "additions", args=args, **more)


@press("jobs:addition_panel")
def _(shop: Furnished) -> Press:
    typed = {"panel": "rear_bumper", "price": "480"}
    return on_order(shop.prep, "additions", typed=typed, other={"price": "490"})


@press("jobs:addition_edge")
def _(shop: Furnished) -> Press:
    typed = {"panel": edges_to_offer(shop.prep)[0][0], "price": "40"}
    return on_order(shop.prep, "additions", typed=typed, other={"price": "50"})


@press("jobs:addition_work")
def _(shop: Furnished) -> Press:
    typed = {"work": shop.menu_work.pk, "price": "120"}
    return on_order(shop.prep, "additions", typed=typed, other={"price": "130"})


@press("jobs:addition_answer")
def _(shop: Furnished) -> Press:
    typed = {"says": "yes", "how": "phone", "name": "Ann"}
    return _on_offer(shop, typed=typed, other={"says": "no"})


@press("jobs:addition_take_back")
def _(shop: Furnished) -> Press:
    return _on_offer(shop)


@press("jobs:addition_signed")
def _(shop: Furnished) -> Press:
    on = _on_offer(shop)
    return Press(
        args=on.args,
        page="jobs:addition_sign",
        page_args=on.args,
        typed={"name": "Ann", "strokes": SIGNED},
        other={"name": "Bea"},
    )


@press("jobs:menu_work_add")
def _(shop: Furnished) -> Press:
    typed = {"name": "wheels", "minutes": "60", "when": "in_prep", "skill": "prep"}
    return Press(page="jobs:menu_of_work", typed=typed, other={"minutes": "90"})


@press("jobs:menu_work_change")
def _(shop: Furnished) -> Press:
    return Press(
        args={"pk": shop.menu_work.pk},
        page="jobs:menu_of_work",
        typed={"minutes": "75"},
        other={"minutes": "80"},
    )


@press("jobs:addedwork_done")
def _(shop: Furnished) -> Press:
    work = next(w for w in shop.added_work if w.workorder_id == shop.prep.pk)
    args = {"pk": shop.prep.pk, "work_pk": work.pk}
    return on_order(shop.prep, "workorder_checks", args=args)


@press("jobs:reading_take")
def _(shop: Furnished) -> Press:
    typed = {"panel_c": "31", "air_c": "29", "rh_pct": "62"}
    # Asked for by its button, whether or not one is due at this hour.
    return on_order(
        shop.install,
        "workorder_panels",
        query="?do=reading",
        typed=typed,
        other={"rh_pct": "60"},
    )


@press("jobs:panels_ready")
def _(shop: Furnished) -> Press:
    return on_order(shop.prep, "workorder_panels")


@press("jobs:panels_looked")
def _(shop: Furnished) -> Press:
    return on_order(shop.inspection, "workorder_panels")


@press("jobs:panel_ready")
def _(shop: Furnished) -> Press:
    return on_panel(shop.panels(shop.prep)[0])


@press("jobs:panel_unready")
def _(shop: Furnished) -> Press:
    panel = shop.panels(shop.prep)[0]
    do(shop.mara, make_panel_ready, workorder_pk=shop.prep.pk, panel_pk=panel.pk)
    return on_panel(panel)


def _not_laid(shop: Furnished) -> OrderPanel:
    return next(panel for panel in shop.panels(shop.install) if not panel.laid_at)


@press("jobs:panel_lay")
def _(shop: Furnished) -> Press:
    return on_panel(_not_laid(shop))


@press("jobs:panel_unlay")
def _(shop: Furnished) -> Press:
    panel = _not_laid(shop)
    do(shop.mara, lay_panel, workorder_pk=shop.install.pk, panel_pk=panel.pk)
    return on_panel(panel, query=f"?undo={panel.pk}")


@press("jobs:panel_strike")
def _(shop: Furnished) -> Press:
    panel = _not_laid(shop)
    return on_panel(
        panel,
        query=f"?do=strike&panel={panel.pk}",
        typed={"usual": "no film left for it"},
        other={"usual": "other", "own": "a new fender comes"},
    )


@press("jobs:panel_put_back")
def _(shop: Furnished) -> Press:
    panel = _not_laid(shop)
    do(
        shop.mara,
        strike_panel,
        workorder_pk=shop.install.pk,
        panel_pk=panel.pk,
        because="no film left for it",
    )
    return on_panel(panel)


@press("jobs:panel_measure")
def _(shop: Furnished) -> Press:
    panel = _not_laid(shop)
    return on_panel(
        panel,
        query=f"?do=measure&panel={panel.pk}",
        typed={"length_mm": "900", "width_mm": "620"},
        other={"width_mm": "630"},
    )


def _not_seen(shop: Furnished) -> OrderPanel:
    return next(
        panel
        for panel in shop.panels(shop.inspection)
        if not panel.looks.exists() and not panel.defects.exists()
    )


@press("jobs:panel_look")
def _(shop: Furnished) -> Press:
    return on_panel(_not_seen(shop))


@press("jobs:panel_unlook")
def _(shop: Furnished) -> Press:
    panel = _not_seen(shop)
    do(shop.mara, look_at_panel, workorder_pk=shop.inspection.pk, panel_pk=panel.pk)
    return on_panel(panel, query=f"?undo={panel.pk}")


@press("jobs:defect_open")
def _(shop: Furnished) -> Press:
    panel = _not_seen(shop)
    return on_panel(
        panel,
        query=f"?do=defect&panel={panel.pk}",
        typed={"kind": "dirt", "size_mm": "4"},
        other={"size_mm": "5"},
    )


def _on_defect(shop: Furnished, **more: Any) -> Press:
    defect = shop.open_defects[0]
    args = {"pk": defect.workorder_id, "defect_pk": defect.pk}
    return on_order(defect.workorder, "workorder_panels", args=args, **more)


for _name in ("touch_up", "watch", "redo"):
    press(f"jobs:defect_{_name}")(_on_defect)


@press("jobs:defect_redo_undo")
def _(shop: Furnished) -> Press:
    defect = shop.open_defects[0]
    facts = {"workorder_pk": defect.workorder_id, "defect_pk": defect.pk}
    do(shop.mara, redo_panel, **facts)
    args = {"pk": defect.workorder_id, "defect_pk": defect.pk}
    return on_order(defect.workorder, "workorder_panels", args=args)


@press("jobs:defect_accept")
def _(shop: Furnished) -> Press:
    typed, other = {"note": "below the bumper"}, {"note": "not seen from outside"}
    return _on_defect(shop, typed=typed, other=other)


@press("jobs:finallook_record")
def _(shop: Furnished) -> Press:
    typed, other = {"outcome": "fine"}, {"outcome": "watch"}
    return on_order(shop.settled, "workorder_panels", typed=typed, other=other)


# -- the front desk ----------------------------------------------------------------


@press("jobs:booking_make")
def _(shop: Furnished) -> Press:
    typed = {
        "name": "Robin Ash",
        "phone": "555-0199",
        "vin": "1M8GDM9AXKP042788",
        "model": "Saloon",
        "arrives_at": workday(4),
        "promised_at": workday(6),
        "film_reason": "a roll is on its way",
    }
    other = {"name": "Robin Oak"}
    return Press(page="jobs:booking_new", typed=typed, other=other)


@press("jobs:booking_walk_in")
def _(shop: Furnished) -> Press:
    typed = {"name": "Robin Ash", "phone": "555-0199", "model": "Saloon"}
    typed |= {"film_reason": "a roll is on its way"}
    return Press(page="jobs:booking_new", typed=typed, other={"name": "Robin Oak"})


def _a_booking(shop: Furnished, page: str, **more: Any) -> Press:
    args = {"pk": shop.bookings[0].pk}
    known: Typed = {"args": args, **more}
    return Press(page=f"jobs:{page}", page_args=args, **known)


CAR_LIST = "N-901; Example; Saloon; black; 1M8GDM9AXKP042788\nN-902; Example; Saloon"


def _a_list(shop: Furnished) -> Typed:
    return {
        "cars": CAR_LIST,
        "first": "stock_number",
        "package": Package.FULL_FRONT.value,
        "film": str(shop.bookings[0].film_id),
        "method": "hand_fitted",
        "size_class": "D",
        "body": "sedan",
        "first_on": workday(4)[:10],
        "film_reason": "a roll is on its way",
    }


@press("jobs:car_list_look", among=LOOKS)
def _(shop: Furnished) -> Press:
    return Press(args={"pk": shop.intake.customer_id}, typed=_a_list(shop))


@press("jobs:car_list_book")
def _(shop: Furnished) -> Press:
    customer, typed = shop.intake.customer, _a_list(shop)
    form = CarListForm(QueryDict(urlencode(typed)), customer=customer, is_look=True)
    assert form.is_valid()
    typed["looked"] = form.data["looked"]
    args, other = {"pk": customer.pk}, {"film_reason": "another roll comes"}
    return Press(
        args=args, page="jobs:car_list", page_args=args, typed=typed, other=other
    )


@press("jobs:booking_change")
def _(shop: Furnished) -> Press:
    typed = {"notes": "wants it by noon", "film_reason": "a roll is on its way"}
    return _a_booking(shop, "booking_edit", typed=typed, other={"notes": "by ten"})


@press("jobs:booking_move")
def _(shop: Furnished) -> Press:
    typed = {"day": workday(5)[:10], "at": "10:00"}
    return _a_booking(shop, "booking_detail", typed=typed, other={"at": "11:00"})


@press("jobs:booking_cancel")
def _(shop: Furnished) -> Press:
    typed, other = {"deposit": "kept"}, {"deposit": "given_back"}
    return _a_booking(shop, "booking_detail", typed=typed, other=other)


@press("jobs:booking_restore")
def _(shop: Furnished) -> Press:
    booking = shop.bookings[0]
    do(shop.mara, cancel_booking, booking_pk=booking.pk, deposit="given_back")
    args = {"pk": booking.pk}
    return Press(args=args, page="jobs:booking_detail", page_args=args)


@press("jobs:deposit_record")
def _(shop: Furnished) -> Press:
    typed, other = {"amount": "50", "how": "cash"}, {"amount": "51"}
    return _a_booking(shop, "booking_detail", typed=typed, other=other)


@press("jobs:deposit_reverse")
def _(shop: Furnished) -> Press:
    booking = shop.bookings[0]
    args = {"pk": booking.pk, "payment_pk": booking.payments.get().pk}
    typed, other = {"because": "a slip"}, {"because": "given back"}
    return _a_booking(shop, "booking_detail", args=args, typed=typed, other=other)


@press("jobs:payment_reverse")
def _(shop: Furnished) -> Press:
    payment = shop.intake.payments.get()
    args = {"pk": shop.intake.pk, "payment_pk": payment.pk}
    typed, other = {"because": "a slip"}, {"because": "given back"}
    return on_order(shop.intake, "handover_detail", args=args, typed=typed, other=other)


@press("jobs:booking_known", among=LOOKS)
def _(shop: Furnished) -> Press:
    return Press(typed={"name": "Robin"})


@press("jobs:booking_move_look", among=LOOKS)
def _(shop: Furnished) -> Press:
    args = {"pk": shop.bookings[0].pk}
    return Press(args=args, typed={"day": local(7)[:10], "at": "10:00"})


@press("jobs:mail_look", among=LOOKS)
def _(shop: Furnished) -> Press:
    args = {"kind": "ready", "language": "en"}
    return Press(args=args, typed={"subject": "a", "words": "b {car}", "text": "c"})


@press("jobs:booking_look", among=LOOKS)
def _(shop: Furnished) -> Press:
    package = Package.FULL_VEHICLE.value
    return Press(typed={"package": package, "body": "sedan", "size_class": "D"})


@press("jobs:booking_fits", among=LOOKS)
def _(shop: Furnished) -> Press:
    package = Package.FULL_VEHICLE.value
    return Press(typed={"package": package, "body": "sedan", "size_class": "D"})


@press("jobs:vin_check", among=LOOKS)
def _(shop: Furnished) -> Press:
    return Press(typed={"vin": "1M8GDM9AXKP042788"})


@press("jobs:arrival_take_in")
def _(shop: Furnished) -> Press:
    typed, other = {"key_tag": "31", "mileage": "120"}, {"key_tag": "32"}
    return _a_booking(shop, "arrival_detail", typed=typed, other=other)


@press("jobs:customer_change")
def _(shop: Furnished) -> Press:
    args = {"pk": shop.intake.customer_id}
    return Press(
        args=args,
        page="jobs:customer_detail",
        page_args=args,
        typed={"phone": "555-0188"},
        other={"phone": "555-0189"},
    )


@press("jobs:customer_merge")
def _(shop: Furnished) -> Press:
    kept = shop.intake.customer
    twin = make_customer(kept.name, phone=kept.phone)
    page = {"pk": kept.pk}
    typed = {"twin_pk": str(twin.pk)}
    return Press(args=page, page="jobs:customer_detail", page_args=page, typed=typed)


@press("jobs:vehicle_merge")
def _(shop: Furnished) -> Press:
    kept = shop.intake.vehicle
    twin = make_vehicle(kept.customer, plate=kept.plate, vin=kept.vin)
    page = {"pk": kept.pk}
    typed = {"twin_pk": str(twin.pk)}
    return Press(args=page, page="jobs:vehicle_detail", page_args=page, typed=typed)


@press("jobs:vehicle_change")
def _(shop: Furnished) -> Press:
    args = {"pk": shop.intake.vehicle_id}
    return Press(
        args=args,
        page="jobs:vehicle_detail",
        page_args=args,
        typed={"colour": "dark green"},
        other={"colour": "pale green"},
    )


@press("jobs:prices_change")
def _(shop: Furnished) -> Press:
    typed, other = {"cost/hour": "48"}, {"cost/hour": "49"}
    return Press(page="jobs:prices", typed=typed, other=other)


@press("jobs:prices_raise")
def _(shop: Furnished) -> Press:
    return Press(page="jobs:prices", typed={"pct": "5"}, other={"pct": "6"})


@press("jobs:prices_fill")
def _(shop: Furnished) -> Press:
    typed, other = {"full_front": "1950"}, {"full_front": "1990"}
    return Press(page="jobs:prices", typed=typed, other=other)


@press("jobs:open_prices")
def _(shop: Furnished) -> Press:
    typed, other = {"full_front": "1950"}, {"full_front": "1990"}
    args = {"step": "prices"}
    return Press(page="jobs:open_step", page_args=args, typed=typed, other=other)


@press("jobs:open_name")
def _(shop: Furnished) -> Press:
    typed = {"address": "1 Example Street", "phone": "555-0140"}
    return Press(
        page="jobs:open_step",
        page_args={"step": "shop"},
        typed={"name": "Film by the river", **typed},
        other={"name": "Film by the sea"},
    )


@press("jobs:open_solutions")
def _(shop: Furnished) -> Press:
    return Press(
        page="jobs:open_step",
        page_args={"step": "solutions"},
        typed={"used": "slip_tack"},
        other={"used": "all_in_one"},
    )


@press("jobs:open_take_over")
def _(shop: Furnished) -> Press:
    return Press(args={"step": "all"})


@press("jobs:open_try")
def _(shop: Furnished) -> Press:
    return Press(page="jobs:open_shop")


@press("jobs:tax_change")
def _(shop: Furnished) -> Press:
    typed, other = {"pct": "8.25"}, {"pct": "8.5"}
    return Press(page="jobs:prices", typed=typed, other=other)


LESS: Typed = {"pct": "5", "because": "a second car"}


@press("jobs:discount_give")
def _(shop: Furnished) -> Press:
    other = {**LESS, "pct": "6"}
    return on_order(shop.install, "handover_detail", typed=LESS, other=other)


@press("jobs:booking_discount_give")
def _(shop: Furnished) -> Press:
    other = {**LESS, "pct": "6"}
    return _a_booking(shop, "booking_detail", typed=LESS, other=other)


@press("jobs:discount_take_back")
def _(shop: Furnished) -> Press:
    row = next(row for row in shop.discounts if row.workorder_id == shop.intake.pk)
    args = {"pk": shop.intake.pk, "discount_pk": row.pk}
    return on_order(shop.intake, "handover_detail", args=args)


@press("jobs:booking_discount_take_back")
def _(shop: Furnished) -> Press:
    row = next(row for row in shop.discounts if row.booking_id == shop.bookings[0].pk)
    args = {"pk": shop.bookings[0].pk, "discount_pk": row.pk}
    return _a_booking(shop, "booking_detail", args=args)


@press("jobs:invoice_make")
def _(shop: Furnished) -> Press:
    return on_order(shop.install, "handover_detail")


def _an_invoice(shop: Furnished, **more: Any) -> Press:
    args = {"pk": shop.invoice.pk}
    return Press(args=args, page="jobs:invoice_detail", page_args=args, **more)


@press("jobs:invoice_reverse")
def _(shop: Furnished) -> Press:
    return _an_invoice(
        shop, typed={"because": "wrong name"}, other={"because": "wrong price"}
    )


@press("jobs:invoice_print")
def _(shop: Furnished) -> Press:
    return _an_invoice(shop, typed={"size": "A4"}, other={"size": "Letter"})


def _an_account(shop: Furnished, *, args: Typed | None = None, **more: Any) -> Press:
    pk = shop.invoice.workorder.customer_id
    return Press(
        args={"pk": pk, **(args or {})},
        page="jobs:customer_account",
        page_args={"pk": pk},
        **more,
    )


@press("jobs:account_pay")
def _(shop: Furnished) -> Press:
    typed, other = {"amount": "100", "how": "transfer"}, {"amount": "101"}
    return _an_account(shop, typed=typed, other=other)


@press("jobs:receipt_print")
def _(shop: Furnished) -> Press:
    return _an_account(shop, args={"receipt_pk": shop.account_receipt.pk})


@press("jobs:receipt_reverse")
def _(shop: Furnished) -> Press:
    args = {"receipt_pk": shop.account_receipt.pk}
    typed, other = {"because": "bounced"}, {"because": "a slip"}
    return _an_account(shop, args=args, typed=typed, other=other)


@press("jobs:statement_print")
def _(shop: Furnished) -> Press:
    typed = {"since": "2026-01-01", "until": "2026-12-31"}
    return _an_account(shop, typed=typed, other={**typed, "until": "2026-11-30"})


@press("jobs:payment_record")
def _(shop: Furnished) -> Press:
    typed, other = {"amount": "100", "how": "cash"}, {"amount": "101"}
    return on_order(shop.intake, "handover_detail", typed=typed, other=other)


@press("jobs:handover_give")
def _(shop: Furnished) -> Press:
    order = shop.settled
    do(shop.mara, record_final_look, workorder_pk=order.pk, outcome="fine")
    owed = money_of(order).owed
    if owed:
        do(shop.mara, record_payment, workorder_pk=order.pk, amount=owed, how="card")
    typed, other = {"how": "person"}, {"how": "keys"}
    return on_order(order, "handover_detail", typed=typed, other=other)


@press("jobs:link_make")
def _(shop: Furnished) -> Press:
    typed, other = {"days": "20"}, {"days": "21"}
    return on_order(shop.intake, "handover_detail", typed=typed, other=other)


@press("jobs:link_revoke")
def _(shop: Furnished) -> Press:
    link = shop.intake.links.get()
    args = {"pk": shop.intake.pk, "link_pk": link.pk}
    return on_order(shop.intake, "handover_detail", args=args)


@press("jobs:booking_link_make")
def _(shop: Furnished) -> Press:
    args = {"pk": shop.bookings[0].pk}
    typed, other = {"days": "20"}, {"days": "21"}
    return Press(
        args=args,
        page="jobs:booking_detail",
        page_args=args,
        typed=typed,
        other=other,
    )


@press("jobs:mail_send")
def _(shop: Furnished) -> Press:
    shop.intake.customer.email = "robin@example.com"
    shop.intake.customer.save()
    args = {"pk": shop.intake.pk}
    return on_order(
        shop.intake, "handover_detail", args=args, typed={"kind": "question"}
    )


@press("jobs:mail_text")
def _(shop: Furnished) -> Press:
    args = {"pk": shop.intake.pk}
    return on_order(
        shop.intake, "handover_detail", args=args, typed={"kind": "question"}
    )


@press("jobs:booking_mail_send")
def _(shop: Furnished) -> Press:
    customer = shop.bookings[0].customer
    customer.email = "robin@example.com"
    customer.save()
    args = {"pk": shop.bookings[0].pk}
    return Press(
        args=args,
        page="jobs:booking_detail",
        page_args=args,
        typed={"kind": "booked"},
        other={"kind": "day_before"},
    )


@press("jobs:estimate_mail_send")
def _(shop: Furnished) -> Press:
    row = CustomerEstimate.objects.filter(booking=None, ended_at=None)[0]
    row.customer.email = "robin@example.com"
    row.customer.save()
    args, typed = {"pk": row.pk}, {"kind": "estimate"}
    page = {"page": "jobs:estimate_detail", "page_args": args}
    return Press(args=args, typed=typed, **page)


@press("jobs:estimate_mail_text")
def _(shop: Furnished) -> Press:
    args = {"pk": CustomerEstimate.objects.filter(booking=None, ended_at=None)[0].pk}
    page = {"page": "jobs:estimate_detail", "page_args": args}
    return Press(args=args, typed={"kind": "estimate"}, **page)


@press("jobs:booking_mail_text")
def _(shop: Furnished) -> Press:
    args = {"pk": shop.bookings[0].pk}
    return Press(
        args=args,
        page="jobs:booking_detail",
        page_args=args,
        typed={"kind": "booked"},
        other={"kind": "day_before"},
    )


@press("jobs:mail_settle")
def _(shop: Furnished) -> Press:
    mail = Mail.objects.filter(state=Mail.State.REFUSED)[0]
    return Press(args={"pk": mail.pk}, page="jobs:calls", typed={"how": "seen_to"})


@press("jobs:mail_change")
def _(shop: Furnished) -> Press:
    return Press(
        page="jobs:mail_settings",
        typed={"first_wash": "on"},
        other={"first_wash": "on", "recheck": "on"},
    )


@press("jobs:mail_try")
def _(shop: Furnished) -> Press:
    return Press(
        page="jobs:mail_settings",
        typed={"to": "shop@example.com"},
        other={"to": "other@example.com"},
    )


@press("jobs:mail_reword")
def _(shop: Furnished) -> Press:
    args = {"kind": "booked", "language": "es"}
    return Press(
        args=args,
        page="jobs:mail_words",
        page_args=args,
        typed={"subject": "{car}: el {day}"},
        other={"subject": "{car}"},
    )


@press("jobs:mail_usual")
def _(shop: Furnished) -> Press:
    args = {"kind": "ready", "language": "en"}
    words = {"subject": "{car}", "words": "Come.", "text": "Come."}
    MailWords.objects.create(**args, **words)
    return Press(args=args, page="jobs:mail_words", page_args=args)


@press("jobs:booking_link_revoke")
def _(shop: Furnished) -> Press:
    link = shop.booking_links[0]
    page_args = {"pk": link.booking_id}
    args = {**page_args, "link_pk": link.pk}
    return Press(args=args, page="jobs:booking_detail", page_args=page_args)


@press("jobs:recheck_record")
def _(shop: Furnished) -> Press:
    typed, other = {"outcome": "fine"}, {"outcome": "watch"}
    return on_order(shop.closed[0], "workorder_detail", typed=typed, other=other)


@press("jobs:return_begin")
def _(shop: Furnished) -> Press:
    typed = {"panels": ["front_bumper"], "kind": "dirt", "is_here": "yes"}
    return on_order(shop.closed[1], "return_new", typed=typed, other={"kind": "scorch"})


def _on_return(shop: Furnished, **more: Any) -> Press:
    order = shop.returns[0].order
    assert order is not None
    return on_order(order, "workorder_detail", **more)


@press("jobs:return_fault")
def _(shop: Furnished) -> Press:
    typed = {"panels": ["front_bumper"], "kind": "scorch"}
    return _on_return(shop, typed=typed, other={"kind": "haze"})


@press("jobs:return_settle")
def _(shop: Furnished) -> Press:
    visit = shop.returns[0]
    args = {"pk": visit.order.pk, "defect_pk": visit.defects.get().pk}
    typed, other = {"outcome": "touched_up"}, {"outcome": "nothing"}
    return _on_return(shop, args=args, typed=typed, other=other)


@press("jobs:return_payer")
def _(shop: Furnished) -> Press:
    return _on_return(shop, typed={"paid_by": "shop"}, other={"paid_by": "maker"})


@press("jobs:recheck_book")
def _(shop: Furnished) -> Press:
    order = shop.closed[0]
    typed, other = {"at": local(6)}, {"at": local(7)}
    return on_order(order, "handover_detail", typed=typed, other=other)


# -- estimates -----------------------------------------------------------------------


@press("jobs:estimate_make")
def _(shop: Furnished) -> Press:
    typed = {"name": "Robin Ash", "phone": "555-0199", "model": "Saloon"}
    typed["p2-package"] = Package.SINGLE_PANELS.value
    typed |= {"p2-package_shown": Package.SINGLE_PANELS.value, "p2-panel_hood": "on"}
    typed |= {"p2-method": "hand_fitted", "p2-film": shop.film.pk, "p2-price": "390"}
    return Press(page="jobs:estimate_new", typed=typed, other={"name": "Robin Oak"})


@press("jobs:estimate_look", among=LOOKS)
def _(shop: Furnished) -> Press:
    package = Package.FULL_VEHICLE.value
    typed = {"p1-package": package, "body": "sedan", "size_class": "D"}
    return Press(args={"pk": shop.estimates[0].pk}, typed=typed)


@press("jobs:estimate_known", among=LOOKS)
def _(shop: Furnished) -> Press:
    return Press(typed={"name": "Robin"})


def _on_estimate(shop: Furnished, page: str = "estimate_detail", **more: Any) -> Press:
    args = {"pk": shop.estimates[0].pk}
    return Press(page=f"jobs:{page}", page_args=args, **{"args": args, **more})


def _of_version(shop: Furnished) -> Typed:
    row = shop.estimates[0]
    return {"pk": row.pk, "version_pk": row.versions.get().pk}


@press("jobs:estimate_change")
def _(shop: Furnished) -> Press:
    typed, other = {"words": "As we spoke"}, {"words": "As we agreed"}
    return _on_estimate(shop, "estimate_edit", typed=typed, other=other)


@press("jobs:estimate_end")
def _(shop: Furnished) -> Press:
    typed, other = {"because": "too dear"}, {"because": "sold the car"}
    return _on_estimate(shop, typed=typed, other=other)


@press("jobs:estimate_link_make")
def _(shop: Furnished) -> Press:
    return _on_estimate(shop, typed={"days": "20"}, other={"days": "21"})


@press("jobs:estimate_link_revoke")
def _(shop: Furnished) -> Press:
    row = shop.estimates[0]
    return _on_estimate(shop, args={"pk": row.pk, "link_pk": row.links.get().pk})


@press("jobs:estimate_print")
def _(shop: Furnished) -> Press:
    args = _of_version(shop)
    typed, other = {"size": "A4"}, {"size": "Letter"}
    return _on_estimate(shop, args=args, typed=typed, other=other)


def _first_choice(shop: Furnished) -> int:
    return int(shop.estimates[0].versions.get().choices.all()[0].pk)


@press("jobs:estimate_accept")
def _(shop: Furnished) -> Press:
    typed, other = {"choice_pk": _first_choice(shop)}, {"name": "Lee Vale"}
    return _on_estimate(shop, args=_of_version(shop), typed=typed, other=other)


@press("jobs:estimate_signed")
def _(shop: Furnished) -> Press:
    typed = {"choice_pk": _first_choice(shop), "strokes": SIGNED}
    args, other = _of_version(shop), {"name": "Lee Vale"}
    return _on_estimate(shop, "estimate_sign", args=args, typed=typed, other=other)


@press("jobs:estimate_rules_change")
def _(shop: Furnished) -> Press:
    typed, other = {"valid_days": "14"}, {"valid_days": "21"}
    return Press(page="jobs:estimate_rules", typed=typed, other=other)


@press("jobs:confirmation_print")
def _(shop: Furnished) -> Press:
    args = {"pk": shop.bookings[0].pk}
    return Press(args=args, page="jobs:booking_detail", page_args=args)


@press("jobs:customer_accept")
def _(shop: Furnished) -> Press:
    token = next(iter(shop.estimate_tokens.values()))
    version_pk = _of_version(shop)["version_pk"]
    return Press(
        args={"token": token, "version_pk": version_pk},
        page="jobs:customer_page",
        page_args={"token": token},
        typed={"choice_pk": _first_choice(shop), "name": "Noor Vale"},
        other={"name": "Lee Vale"},
    )


# -- the customer --------------------------------------------------------------------


def _by_link(shop: Furnished, name: str, **more: Any) -> Press:
    args = {"token": shop.links[name].token}
    # What is read of the answer is English.
    Customer.objects.update(language=Customer.Language.ENGLISH)
    return Press(args=args, page="jobs:customer_page", page_args=args, **more)


@press("jobs:customer_agree")
def _(shop: Furnished) -> Press:
    return _by_link(shop, "intake")


@press("jobs:customer_addition")
def _(shop: Furnished) -> Press:
    link, args = shop.links["prep"], _on_offer(shop).args
    return Press(
        args={"token": link.token, "addition_pk": args["addition_pk"]},
        page="jobs:customer_page",
        page_args={"token": link.token},
        typed={"says": "yes"},
        other={"says": "no"},
    )


@press("jobs:customer_approve")
def _(shop: Furnished) -> Press:
    return _by_link(shop, "prep")


@press("jobs:customer_decline")
def _(shop: Furnished) -> Press:
    return _by_link(shop, "prep")


@press("jobs:customer_report")
def _(shop: Furnished) -> Press:
    typed, other = {"words": "An edge lifts"}, {"words": "A bubble on the hood"}
    return _by_link(shop, "closed", typed=typed, other=other)


@press("jobs:report_settle")
def _(shop: Furnished) -> Press:
    report = shop.reports[0]
    args = {"pk": report.workorder_id, "report_pk": report.pk}
    return on_order(report.workorder, "handover_detail", args=args)


@press("jobs:film_register")
def _(shop: Furnished) -> Press:
    typed, other = {"number": "F-1"}, {"number": "F-2"}
    return on_order(shop.closed[0], "handover_detail", typed=typed, other=other)


@press("jobs:customer_recheck")
def _(shop: Furnished) -> Press:
    # The demo shop is closed on Sundays.
    days = [day for day in (5, 6, 7) if date_in(day).weekday() != 6]
    typed, other = ({"on": f"{date_in(day)}"} for day in days[:2])
    return _by_link(shop, "closed", typed=typed, other=other)


# -- the film --------------------------------------------------------------------------


def _a_pull(shop: Furnished, **more: Any) -> Press:
    # One that comes off a roll: its length is typed.
    pull = next(p for p in shop.planned_pulls if p.plan["plan"]["pulls"])
    args = {"pk": pull.workorder_id, "pull_pk": pull.pk}
    return on_order(pull.workorder, "workorder_film", args=args, **more)


@press("jobs:pull_plan")
def _(shop: Furnished) -> Press:
    return on_order(shop.paused, "workorder_film")


@press("jobs:pull_confirm")
def _(shop: Furnished) -> Press:
    return _a_pull(shop, other={"length_0": "5000"})


@press("jobs:pull_unplanned")
def _(shop: Furnished) -> Press:
    roll = shop.paused.film.rolls.filter(left_mm__gt=3000).first()
    assert roll is not None
    typed = {"roll": roll.code, "length_mm": "1.2"}
    return on_order(
        shop.paused, "workorder_film", typed=typed, other={"length_mm": "1.3"}
    )


@press("jobs:pull_drop")
def _(shop: Furnished) -> Press:
    return _a_pull(shop)


@press("jobs:pull_replan")
def _(shop: Furnished) -> Press:
    return _a_pull(shop)


@press("jobs:pull_recut")
def _(shop: Furnished) -> Press:
    panel = shop.panels(shop.install)[0]
    args = {"pk": shop.install.pk, "panel_pk": panel.pk}
    return on_order(shop.install, "workorder_film", args=args)


@press("jobs:pull_day_plan")
def _(shop: Furnished) -> Press:
    for pull in Pull.objects.filter(state=Pull.State.PLANNED):
        do(shop.mara, drop_pull, workorder_pk=pull.workorder_id, pull_pk=pull.pk)
    two = {f"film-{shop.film.pk}-workorders": [shop.redo.pk, shop.paused.pk]}
    return Press(args={"film_pk": shop.film.pk}, page="jobs:pull_day", typed=two)


@press("jobs:film_return")
def _(shop: Furnished) -> Press:
    taken = FilmMovement.objects.filter(
        workorder=shop.install, what=FilmMovement.What.PULLED, roll__isnull=False
    )
    roll = taken[0].roll
    assert roll is not None
    typed = {"roll": roll.code, "length_mm": "200", "reason": "cut too long"}
    other = {"length_mm": "210"}
    return on_order(shop.install, "workorder_film", typed=typed, other=other)


@press("jobs:film_add")
def _(shop: Furnished) -> Press:
    typed, other = {"code": "FZ", "name": "film Z"}, {"name": "film Y"}
    return Press(page="jobs:film_new", typed=typed, other=other)


def _a_film(shop: Furnished, **more: Any) -> Press:
    args = {"pk": shop.film.pk}
    known: Typed = {"args": args, **more}
    return Press(page="jobs:film_detail", page_args=args, **known)


@press("jobs:film_change")
def _(shop: Furnished) -> Press:
    return _a_film(shop, typed={"cure_h": "30"}, other={"cure_h": "31"})


@press("jobs:film_order")
def _(shop: Furnished) -> Press:
    return _a_film(shop, typed={"note": "soon"}, other={"note": "by Friday"})


@press("jobs:film_call_off")
def _(shop: Furnished) -> Press:
    order = next(o for o in shop.film_orders if o.film_id == shop.film.pk)
    return _a_film(shop, args={"pk": shop.film.pk, "order_pk": order.pk})


@press("jobs:roll_receive")
def _(shop: Furnished) -> Press:
    order = next(o for o in shop.film_orders if o.film_id == shop.film.pk)
    return Press(
        page="jobs:roll_new",
        query=f"?order={order.pk}",
        typed={"code": "R77", "lot": "A-9000"},
        other={"lot": "A-9001"},
    )


def _a_roll(shop: Furnished, **more: Any) -> Press:
    args = {"pk": shop.roll.pk}
    return Press(args=args, page="jobs:roll_detail", page_args=args, **more)


@press("jobs:roll_count")
def _(shop: Furnished) -> Press:
    metres = shop.roll.left_mm / 1000
    typed = {"left_mm": f"{metres - 0.2:.2f}", "reason": "measured"}
    return _a_roll(shop, typed=typed, other={"left_mm": f"{metres - 0.3:.2f}"})


@press("jobs:offcut_keep")
def _(shop: Furnished) -> Press:
    typed = {"width_mm": "600", "length_mm": "500", "location": "rack"}
    return _a_roll(shop, typed=typed, other={"location": "floor"})


def _an_offcut(shop: Furnished, **more: Any) -> Press:
    args = {"pk": shop.offcuts[0].pk}
    return Press(args=args, page="jobs:offcut_detail", page_args=args, **more)


@press("jobs:offcut_use")
def _(shop: Furnished) -> Press:
    typed, other = {"reason": "a mirror"}, {"reason": "a door cup"}
    return _an_offcut(shop, typed=typed, other=other)


@press("jobs:offcut_scrap")
def _(shop: Furnished) -> Press:
    typed, other = {"reason": "creased"}, {"reason": "dirty"}
    return _an_offcut(shop, typed=typed, other=other)


@press("jobs:panel_size_add")
def _(shop: Furnished) -> Press:
    typed = {"model": "Saloon", "panel": "hood", "length_mm": "1200"}
    typed |= {"width_mm": "1500"}
    other = {"width_mm": "1510"}
    return Press(page="jobs:panel_sizes", typed=typed, other=other)


@press("jobs:panel_allowance")
def _(shop: Furnished) -> Press:
    typed = {"kind": "hood", "method": "hand_fitted", "wrap_width_mm": "12"}
    other = {"wrap_width_mm": "13"}
    return Press(page="jobs:panel_sizes", typed=typed, other=other)


@press("jobs:film_list_look", among=LOOKS)
def _(shop: Furnished) -> Press:
    file = SimpleUploadedFile("films.csv", b"code,name\nFX,film X\n")
    return Press(page="jobs:film_list", typed={"kind": "films", "file": file})


@press("jobs:films_change")
def _(shop: Furnished) -> Press:
    typed = {"kind": "films", "text": "code,name\nFX,film X\n"}
    return Press(typed=typed, other={"text": "code,name\nFX,film W\n"})


@press("jobs:rolls_receive")
def _(shop: Furnished) -> Press:
    heads = "code,film,width_mm,length_m\n"
    typed = {"kind": "rolls", "text": f"{heads}R88,{shop.film.code},1524,15\n"}
    other = {"text": f"{heads}R88,{shop.film.code},1524,16\n"}
    return Press(typed=typed, other=other)


# -- mixing for an order ------------------------------------------------------------


def _a_kind(shop: Furnished, kind: str = Kind.SLIP, **more: Any) -> Press:
    args = {"pk": shop.redo.pk, "kind": kind}
    known: Typed = {"args": args, **more}
    return Press(page="jobs:workorder_mix", page_args=args, **known)


@press("jobs:workorder_mix_plan")
def _(shop: Furnished) -> Press:
    # The button shows once the sheet that was kept no longer holds: here the panel is
    # found to be larger. A reading would keep its own sheet.
    order = shop.redo
    do(shop.mara, make_sheet, workorder_pk=order.pk)
    panel = next(panel for panel in shop.panels(order) if not panel.laid_at)
    sides = {"length_mm": 850, "width_mm": 350}
    do(shop.mara, measure_panel, workorder_pk=order.pk, panel=panel.panel, **sides)
    return on_order(order, "workorder_mixing")


@press("jobs:workorder_mix_print")
def _(shop: Furnished) -> Press:
    return on_order(shop.redo, "workorder_mixing")


@press("jobs:workorder_mix_water")
def _(shop: Furnished) -> Press:
    # Asked in a shop that has never said which water it mixes with.
    Batch.objects.update(water=None)
    WaterTest.objects.all().delete()
    typed, other = {"source": "ro"}, {"source": "tap"}
    return on_order(shop.redo, "workorder_mixing", typed=typed, other=other)


@press("jobs:workorder_mix_scan", among=LOOKS)
def _(shop: Furnished) -> Press:
    return _a_kind(shop, typed={"code": shop.clean_vessel.code.lower()})


@press("jobs:workorder_mix_start")
def _(shop: Furnished) -> Press:
    code = shop.clean_vessel.code
    return _a_kind(shop, typed={"vessels": [code]})


@press("jobs:workorder_mix_skip")
def _(shop: Furnished) -> Press:
    return _a_kind(shop, Kind.TACK)


@press("jobs:workorder_mix_record")
def _(shop: Furnished) -> Press:
    args = {"pk": shop.redo.pk, "kind": "slip", "version": shop.sheet.version}
    solution = sheet_of(shop.sheet.facts).solutions[0]
    pours = sum(len(fill.pours) for fill in solution.fills)
    steps = "&".join(["p=ok"] * pours)
    return Press(
        args=args,
        page="jobs:workorder_mix_steps",
        page_args=args,
        query=f"?{steps}",
    )


@press("jobs:workorder_mix_from")
def _(shop: Furnished) -> Press:
    soap = Chemical.objects.get(substance="soap")
    known = {"chemical": soap, "code": "C88", "capacity_ml": 500.0, "opened": True}
    do(shop.mara, receive_stock, **known)
    args = {"pk": shop.redo.pk, "kind": "slip", "version": shop.sheet.version}
    page = "jobs:workorder_mix_steps"
    return Press(args=args, page=page, page_args=args, query="?p=ok")


@press("jobs:workorder_mix_open")
def _(shop: Furnished) -> Press:
    # Offered once nothing of it is open any more.
    StockContainer.objects.filter(chemical__substance="alcohol").exclude(
        opened_on=None
    ).update(left_ml=0)
    kind = {"pk": shop.redo.pk, "kind": "tack"}
    args = {**kind, "code": shop.unopened.code}
    return Press(args=args, page="jobs:workorder_mix", page_args=kind)


def _mix_the_redo(shop: Furnished) -> None:
    solution = sheet_of(shop.sheet.facts).solutions[0]
    do(
        shop.mara,
        record_mix,
        workorder_pk=shop.redo.pk,
        version=shop.sheet.version,
        kind="slip",
        poured=[[pour.amount.value for pour in fill.pours] for fill in solution.fills],
    )


@press("jobs:workorder_mix_take")
def _(shop: Furnished) -> Press:
    _mix_the_redo(shop)
    args = {"pk": shop.paused.pk}
    page_args = {**args, "kind": "slip"}
    return Press(args=args, page="jobs:workorder_mix", page_args=page_args)


@press("jobs:workorder_mix_top_up")
def _(shop: Furnished) -> Press:
    _mix_the_redo(shop)
    fill = shop.batches[0].fills.get()
    typed = {"from_vessel": fill.vessel.code, "to_vessel": shop.clean_vessel.code}
    typed |= {"volume_ml": "50"}
    other = {"volume_ml": "60"}
    return on_order(shop.redo, "workorder_mixing", typed=typed, other=other)


# -- the bench -------------------------------------------------------------------------


@press("mixing:vessels_empty")
def _(shop: Furnished) -> Press:
    codes = [vessel.code for vessel in shop.vessels_to_rinse[:2]]
    return Press(page="mixing:bench", typed={"vessels": codes})


@press("mixing:vessel_add")
def _(shop: Furnished) -> Press:
    return Press(page="mixing:vessels", typed={"code": "S77"}, other={"code": "S78"})


@press("mixing:kind_mark")
def _(shop: Furnished) -> Press:
    typed, other = {"kind": "slip", "shape": "hexagon"}, {"shape": "cross"}
    return Press(page="mixing:vessels", typed=typed, other=other)


def _a_vessel(shop: Furnished, **more: Any) -> Press:
    args = {"code": shop.clean_vessel.code}
    return Press(args=args, page="mixing:vessel_detail", page_args=args, **more)


@press("mixing:vessel_change")
def _(shop: Furnished) -> Press:
    return _a_vessel(shop, typed={"usable_ml": "900"}, other={"usable_ml": "910"})


@press("mixing:vessel_retire")
def _(shop: Furnished) -> Press:
    return _a_vessel(shop)


@press("mixing:vessel_rinsed")
def _(shop: Furnished) -> Press:
    args = {"code": shop.vessels_to_rinse[0].code}
    return Press(args=args, page="mixing:vessel_detail", page_args=args)


@press("mixing:vessel_unknown")
def _(shop: Furnished) -> Press:
    return _a_vessel(shop)


def _a_recipe(shop: Furnished, **more: Any) -> Press:
    args = {"pk": shop.recipe.pk}
    return Press(args=args, page="mixing:recipe_detail", page_args=args, **more)


@press("mixing:recipe_look", among=LOOKS)
def _(shop: Furnished) -> Press:
    return _a_recipe(shop, typed={"reserve_pct": "30"})


@press("mixing:recipe_change")
def _(shop: Furnished) -> Press:
    typed = {"reserve_pct": "30", "why": "we ran short twice"}
    return _a_recipe(shop, typed=typed, other={"reserve_pct": "31"})


@press("mixing:stock_receive")
def _(shop: Furnished) -> Press:
    typed = {"code": "C77", "capacity_ml": "3785", "lot": "LOT 5"}
    typed |= {"strength_pct": "91", "strength_basis": "vv"}
    return Press(page="mixing:stock", typed=typed, other={"lot": "LOT 6"})


@press("mixing:chemical_name")
def _(shop: Furnished) -> Press:
    typed = {"name": "99 % isopropyl alcohol", "substance": "alcohol"}
    typed |= {"strength_pct": "99", "strength_basis": "vv"}
    return Press(page="mixing:stock", typed=typed, other={"strength_pct": "98"})


@press("mixing:chemical_add")
def _(shop: Furnished) -> Press:
    typed = {"name": "99 % isopropyl alcohol", "substance": "alcohol"}
    typed |= {"strength_pct": "99", "strength_basis": "vv"}
    return Press(page="mixing:stock", typed=typed, other={"strength_pct": "98"})


def _a_container(shop: Furnished, **more: Any) -> Press:
    args = {"code": shop.unopened.code}
    return Press(args=args, page="mixing:container_detail", page_args=args, **more)


@press("mixing:container_open")
def _(shop: Furnished) -> Press:
    return _a_container(shop)


@press("mixing:container_count")
def _(shop: Furnished) -> Press:
    return _a_container(shop, typed={"left_ml": "3000"}, other={"left_ml": "2900"})


@press("mixing:container_discard")
def _(shop: Furnished) -> Press:
    return _a_container(shop, typed={"reason": "spilt"}, other={"reason": "leaks"})


@press("mixing:dispenser_add")
def _(shop: Furnished) -> Press:
    typed = {"name": "10 mL syringe", "form": "syringe", "graduation_ml": "0.5"}
    typed |= {"error_ml": "0.1", "capacity_ml": "10"}
    other = {"error_ml": "0.2"}
    return Press(page="mixing:dispensers", typed=typed, other=other)


@press("mixing:dispenser_change")
def _(shop: Furnished) -> Press:
    args = {"pk": shop.dispensers[0].pk}
    typed, other = {"error_ml": "3"}, {"error_ml": "4"}
    return Press(args=args, page="mixing:dispensers", typed=typed, other=other)


def _a_dropper(**more: Any) -> Press:
    dropper = Dispenser.objects.create(
        name="a dropper", form="dropper", graduation_ml=0.05, capacity_ml=3.0
    )
    return Press(args={"pk": dropper.pk}, page="mixing:dispensers", **more)


@press("mixing:dispenser_calibrate")
def _(shop: Furnished) -> Press:
    typed, other = {"volume_ml": "1", "counts": "20 21 20"}, {"counts": "20 21 22"}
    return _a_dropper(typed=typed, other=other)


@press("mixing:dispenser_weigh")
def _(shop: Furnished) -> Press:
    typed, other = {"drops": "20", "masses_g": "1.02 1.04"}, {"masses_g": "1.02 1.05"}
    return _a_dropper(typed=typed, other=other)


@press("mixing:water_test")
def _(shop: Furnished) -> Press:
    typed = {"source": "tap", "tds_mg_per_l": "210", "hardness_mg_per_l": "140"}
    return Press(page="mixing:water", typed=typed, other={"tds_mg_per_l": "220"})


# -- papers and safety -----------------------------------------------------------------


@press("jobs:paper_issue")
def _(shop: Furnished) -> Press:
    typed, other = {"kind": "work_order", "size": "A4"}, {"size": "Letter"}
    return on_order(shop.install, "workorder_papers", typed=typed, other=other)


@press("shopapp:device_enrol")
def _(shop: Furnished) -> Press:
    args = {"pk": shop.tablet.pk}
    typed, other = {"name": "desk PC", "pin_opens": "desk"}, {"name": "bay tablet 2"}
    return Press(
        args=args, page="shopapp:device", page_args=args, typed=typed, other=other
    )


@press("shopapp:device_revoke")
def _(shop: Furnished) -> Press:
    args = {"pk": shop.tablet.pk}
    return Press(args=args, page="shopapp:device", page_args=args)


@press("shopapp:sign_in_stop")
def _(shop: Furnished) -> Press:
    return Press(args={"pk": shop.sign_in.pk}, page="shopapp:sign_ins")


@press("shopapp:own_sign_in_end")
def _(shop: Furnished) -> Press:
    SignIn.objects.filter(pk=shop.sign_in.pk).update(person=shop.mara)
    return Press(args={"pk": shop.sign_in.pk}, page="shopapp:own")


@press("jobs:paper_again")
def _(shop: Furnished) -> Press:
    gone = StoredFile.objects.create(
        sha256="0" * 64, content_type="application/pdf", size=9
    )
    paper = Paper.objects.filter(kind="care").exclude(file=None).order_by("-pk")[0]
    Paper.objects.filter(pk=paper.pk).update(file=gone)
    args = {"pk": paper.pk}
    return Press(args=args, page="jobs:paper_detail", page_args=args)


@press("jobs:label_issue")
def _(shop: Furnished) -> Press:
    args = {"what": "vessel", "pk": shop.clean_vessel.pk}
    typed = {"size": "other", "width_mm": "70", "height_mm": "40"}
    known: Typed = {"typed": typed, "other": {"width_mm": "80"}}
    return Press(args=args, page="jobs:label_new", page_args=args, **known)


@press("jobs:prep_use")
def _(shop: Furnished) -> Press:
    wipe = Chemical.objects.get(name="panel wipe")
    typed, other = {"chemical": wipe.pk, "volume_ml": "200"}, {"volume_ml": "300"}
    return on_order(shop.prep, "workorder_safety", typed=typed, other=other)


@press("jobs:prep_more")
def _(shop: Furnished) -> Press:
    return on_order(shop.prep, "workorder_safety")


@press("jobs:prep_no_remover")
def _(shop: Furnished) -> Press:
    facts = {"name": "old-film removal", "minutes": 60, "when": "before_prep"}
    do(shop.mara, add_work, workorder_pk=shop.prep.pk, skill="prep", **facts)
    return on_order(shop.prep, "workorder_safety")


@press("jobs:prep_undo")
def _(shop: Furnished) -> Press:
    wipe = Chemical.objects.get(name="panel wipe")
    use = do(shop.mara, use_prep, workorder_pk=shop.prep.pk, chemical=wipe, litres=0.2)
    args = {"pk": shop.prep.pk, "use_pk": use.facts["pk"]}
    return on_order(shop.prep, "workorder_safety", args=args)


@press("jobs:prep_none")
def _(shop: Furnished) -> Press:
    return on_order(shop.prep, "workorder_safety")


@press("jobs:heat_check")
def _(shop: Furnished) -> Press:
    return on_order(shop.install, "workorder_safety")


# -- what a manager sets ---------------------------------------------------------------


@press("shopapp:shop_change")
def _(shop: Furnished) -> Press:
    typed, other = {"phone": "555-0111"}, {"phone": "555-0112"}
    return Press(page="shopapp:shop_settings", typed=typed, other=other)


@press("shopapp:open_days_change")
def _(shop: Furnished) -> Press:
    typed, other = {"is_open_6": "on"}, {"is_open_6": "on", "opens_at_6": "09:00"}
    other |= {"closes_at_6": "12:00"}
    return Press(page="shopapp:open_days", typed=typed, other=other)


@press("shopapp:holiday_add")
def _(shop: Furnished) -> Press:
    typed, other = {"day": "2031-12-25", "name": "Christmas"}, {"day": "2031-12-26"}
    return Press(page="shopapp:open_days", typed=typed, other=other)


@press("shopapp:holiday_remove")
def _(shop: Furnished) -> Press:
    return Press(args={"pk": shop.holiday.pk}, page="shopapp:open_days")


@press("shopapp:backup_rule_change")
def _(shop: Furnished) -> Press:
    typed, other = {"keep_days": "9"}, {"keep_days": "10"}
    return Press(page="shopapp:backups", typed=typed, other=other)


@press("shopapp:backup_ask")
def _(shop: Furnished) -> Press:
    return Press(page="shopapp:backups")


@press("shopapp:place_add")
def _(shop: Furnished) -> Press:
    typed, other = {"name": "North yard", "kind": "yard"}, {"name": "South yard"}
    return Press(page="shopapp:places", typed=typed, other=other)


@press("shopapp:place_change")
def _(shop: Furnished) -> Press:
    args = {"pk": shop.settling_place.pk}
    typed, other = {"room_for": "7"}, {"room_for": "8"}
    return Press(args=args, page="shopapp:places", typed=typed, other=other)


@press("shopapp:person_add")
def _(shop: Furnished) -> Press:
    typed = {"first_name": "Lena", "username": "lena", "is_desk": "on"}
    other = {"first_name": "Lina"}
    return Press(page="shopapp:people", typed=typed, other=other)


def _a_person(shop: Furnished, **more: Any) -> Press:
    args = {"pk": shop.people["stranger"].pk}
    known: Typed = {"args": args, **more}
    return Press(page="shopapp:person_detail", page_args=args, **known)


@press("shopapp:person_change")
def _(shop: Furnished) -> Press:
    typed, other = {"is_desk": "on"}, {"is_manager": "on"}
    return _a_person(shop, typed=typed, other=other)


@press("shopapp:person_renew")
def _(shop: Furnished) -> Press:
    args = {"pk": shop.people["stranger"].pk, "what": "pin"}
    return _a_person(shop, args=args)


@press("shopapp:own_change")
def _(shop: Furnished) -> Press:
    typed = {"now": PASSWORD, "password": "", "pin": "90817"}
    return Press(page="shopapp:own", typed=typed, other={"pin": "90818"})


@press("jobs:supply_add")
def _(shop: Furnished) -> Press:
    typed, other = {"name": "squeegee edges"}, {"name": "gloves of another size"}
    return Press(page="jobs:supplies", typed=typed, other=other)


@press("jobs:supply_low")
def _(shop: Furnished) -> Press:
    return Press(
        args={"pk": Supply.objects.create(name="tape").pk}, page="jobs:supplies"
    )


@press("jobs:supply_order")
def _(shop: Furnished) -> Press:
    return _running_low()


@press("jobs:supply_here")
def _(shop: Furnished) -> Press:
    return _running_low()


def _running_low() -> Press:
    row = Supply.objects.create(name="tape", low_at=timezone.now())
    return Press(args={"pk": row.pk}, page="jobs:supplies")


@press("jobs:absence_add")
def _(shop: Furnished) -> Press:
    typed = {"person_pk": shop.people["stranger"].pk, "first_day": date_in(3)}
    return Press(page="jobs:people_away", typed=typed, other={"half": "morning"})


@press("jobs:sick_today")
def _(shop: Furnished) -> Press:
    return Press(args={"pk": shop.people["stranger"].pk}, page="jobs:people_away")


@press("jobs:absence_take_back")
def _(shop: Furnished) -> Press:
    person = shop.people["stranger"]
    row = do(shop.people["manager"], add_absence, person_pk=person.pk)
    return Press(args={"pk": row["pk"]}, page="jobs:people_away")


@press("jobs:shift_change")
def _(shop: Furnished) -> Press:
    args = {"pk": shop.people["stranger"].pk}
    typed, other = (
        {"starts_at_4": "08:00", "ends_at_4": "12:00"},
        {"ends_at_4": "13:00"},
    )
    page = "jobs:person_hours"
    return Press(args=args, page=page, page_args=args, typed=typed, other=other)


@press("jobs:package_hours_change")
def _(shop: Furnished) -> Press:
    typed, other = {"laying_h": "7.25", "nights": "2"}, {"laying_h": "8"}
    args = {"package": "track"}
    return Press(args=args, page="jobs:package_hours", typed=typed, other=other)


@press("jobs:plan_make")
def _(shop: Furnished) -> Press:
    return Press(page="jobs:plan")


def on_proposal(shop: Furnished) -> Press:
    """A button on what is proposed."""
    return Press(args={"plan_pk": shop.proposal.pk}, page="jobs:plan_proposal")


for name in ("plan_stop", "plan_publish", "plan_drop"):
    press(f"jobs:{name}")(on_proposal)


@press("jobs:plan_move")
def _(shop: Furnished) -> Press:
    args = {"pk": shop.bookings[0].pk}
    typed, other = {"bay": shop.bay.pk}, {"is_first": "on"}
    return Press(
        args=args, page="jobs:plan_car", page_args=args, typed=typed, other=other
    )


@press("jobs:plan_car_look", among=LOOKS)
def _(shop: Furnished) -> Press:
    args = {"pk": shop.bookings[0].pk}
    typed = {"bay": shop.bay.pk}
    return Press(args=args, page="jobs:plan_car", page_args=args, typed=typed)


@press("jobs:plan_rule_change")
def _(shop: Furnished) -> Press:
    typed, other = {"freeze_h": "3"}, {"freeze_h": "5"}
    return Press(page="jobs:package_hours", typed=typed, other=other)


@press("jobs:feed_make")
def _(shop: Furnished) -> Press:
    typed, other = {"whose": "hand-overs"}, {"whose": f"bay-{shop.bay.pk}"}
    return Press(page="jobs:feeds", typed=typed, other=other)


@press("jobs:feed_revoke")
def _(shop: Furnished) -> Press:
    return Press(args={"pk": shop.feed.pk}, page="jobs:feeds")


@press("jobs:cure_change")
def _(shop: Furnished) -> Press:
    typed, other = {"overnight_h": "14"}, {"overnight_h": "15"}
    return Press(page="jobs:cure_table", typed=typed, other=other)


@press("jobs:rules_change")
def _(shop: Furnished) -> Press:
    typed, other = {"intake_items": "reason"}, {"intake_items": "advice"}
    return Press(page="jobs:rules", typed=typed, other=other)


@press("jobs:rules_enforce")
def _(shop: Furnished) -> Press:
    return Press(page="jobs:rules")


@press("jobs:acceptance_change")
def _(shop: Furnished) -> Press:
    typed, other = {"per_panel": "5"}, {"per_panel": "6"}
    return Press(page="jobs:acceptance", typed=typed, other=other)


@press("jobs:laying_change")
def _(shop: Furnished) -> Press:
    typed, other = {"tack_days": "5"}, {"tack_days": "6"}
    return Press(page="jobs:laying", typed=typed, other=other)


@press("jobs:checklist_change")
def _(shop: Furnished) -> Press:
    args = {"pk": shop.checklist.pk}
    rows = len(shop.checklist.versions.all()[0].items)
    typed = {"why": "it was forgotten twice", f"text_{rows + 1}": "Door edges dry"}
    return Press(
        args=args,
        page="jobs:checklist_detail",
        page_args=args,
        typed=typed,
        other={f"text_{rows + 1}": "Door cups dry"},
    )


@press("mixing:bay_add")
def _(shop: Furnished) -> Press:
    typed, other = {"name": "Bay 9"}, {"name": "Bay 8"}
    return Press(page="mixing:bays", typed=typed, other=other)


@press("mixing:bay_change")
def _(shop: Furnished) -> Press:
    args = {"pk": shop.bay.pk}
    typed, other = {"length_m": "8"}, {"length_m": "9"}
    known: Typed = {"typed": typed, "other": other}
    return Press(args=args, page="mixing:bay_detail", page_args=args, **known)


@press("mixing:local_code_change")
def _(shop: Furnished) -> Press:
    typed, other = {"vapour_limit_ppm": "150"}, {"vapour_limit_ppm": "160"}
    return Press(page="mixing:local_code", typed=typed, other=other)


@press("mixing:air_change")
def _(shop: Furnished) -> Press:
    typed, other = {"height_m": "500"}, {"height_m": "600"}
    return Press(page="mixing:air", typed=typed, other=other)


def _of_the_plan(shop: Furnished, **typed: Any) -> Press:
    keep_plan(shop.bookings[:2], at=timezone.now())
    return Press(page="jobs:plan_papers", typed=typed, other={"day": date_in(1)})


@press("jobs:day_sheet_issue")
def _(shop: Furnished) -> Press:
    return _of_the_plan(shop, day=date_in(0))


@press("jobs:morning_issue")
def _(shop: Furnished) -> Press:
    day = timezone.localdate() + timedelta(days=1)
    typed, other = {"day": ""}, {"day": day.isoformat()}
    return Press(page="jobs:calls", typed=typed, other=other)


@press("jobs:desk_sheet_issue")
def _(shop: Furnished) -> Press:
    return _of_the_plan(shop, day=date_in(0))


@press("jobs:plan_week_issue")
def _(shop: Furnished) -> Press:
    return _of_the_plan(shop, day=date_in(0))


@press("jobs:register_issue")
def _(shop: Furnished) -> Press:
    typed, other = {"size": "A4"}, {"size": "Letter"}
    return Press(page="jobs:safety_register", typed=typed, other=other)


@press("mixing:rule_set_add")
def _(shop: Furnished) -> Press:
    typed, other = {"name": "Town", "why": "new here"}, {"name": "Village"}
    return Press(page="mixing:rule_sets", typed=typed, other={**typed, **other})


@press("mixing:flash_point_enter")
def _(shop: Furnished) -> Press:
    args = {"pk": shop.tack_recipe.pk}
    typed = {
        "flash_point_c": "31",
        "cup": "closed",
        "measured_by": "Town Lab",
        "measured_on": "2026-02-03",
    }
    known: Typed = {"typed": typed, "other": {**typed, "flash_point_c": "32"}}
    return Press(args=args, page="mixing:recipe_flash_points", page_args=args, **known)


@press("mixing:flash_point_withdraw")
def _(shop: Furnished) -> Press:
    typed, other = {"reason": "another bottle"}, {"reason": "another mix"}
    return Press(
        args={"pk": shop.flash_point.pk},
        page="mixing:recipe_flash_points",
        page_args={"pk": shop.tack_recipe.pk},
        typed=typed,
        other=other,
    )


@press("mixing:rule_set_change")
def _(shop: Furnished) -> Press:
    args = {"pk": shop.rule_set.pk}
    why = {"why": "the office wrote"}
    typed, other = {**why, "air:8h-value": "300"}, {**why, "air:8h-value": "310"}
    known: Typed = {"typed": typed, "other": other}
    return Press(args=args, page="mixing:rule_set_detail", page_args=args, **known)


@press("mixing:chemical_change")
def _(shop: Furnished) -> Press:
    args = {"pk": Chemical.objects.get(name="panel wipe").pk}
    typed, other = {"volatile_pct": "50"}, {"volatile_pct": "60"}
    known: Typed = {"typed": typed, "other": other}
    return Press(args=args, page="mixing:chemical_detail", page_args=args, **known)


@press("mixing:container_change")
def _(shop: Furnished) -> Press:
    args = {"code": shop.unopened.code}
    typed, other = {"approved": "yes"}, {"approved": "no"}
    known: Typed = {"typed": typed, "other": other}
    return Press(args=args, page="mixing:container_storage", page_args=args, **known)


@press("mixing:spot_add")
def _(shop: Furnished) -> Press:
    typed, other = {"name": "cabinet 9"}, {"name": "cabinet 8"}
    return Press(page="mixing:chemicals", typed=typed, other=other)


@press("mixing:spot_change")
def _(shop: Furnished) -> Press:
    args = {"pk": shop.spot.pk}
    typed, other = {"name": "the cabinet"}, {"name": "the locker"}
    return Press(args=args, page="mixing:chemicals", typed=typed, other=other)


@press("mixing:bench_change")
def _(shop: Furnished) -> Press:
    typed, other = {"patch_min": "4"}, {"patch_min": "5"}
    patch = {"patch_panel_c": "25", "patch_air_c": "24", "patch_rh_pct": "50"}
    return Press(page="mixing:bench_settings", typed={**patch, **typed}, other=other)
