"""Bookings, below `bookings/`: what is agreed, its deposit, its end."""

from __future__ import annotations

from functools import partial

from django.urls import URLPattern, path, reverse

from jobs.bookings import fits_pages as fits
from jobs.bookings import move_pages as moves
from jobs.bookings import pages as bookings
from jobs.bookings.actions import (
    cancel_booking,
    change_booking,
    make_booking,
    restore_booking,
)
from jobs.bookings.move_actions import move_booking
from jobs.bookings.move_forms import MoveDayForm
from jobs.bookings.walk_in_actions import walk_in
from jobs.bookings.walk_in_pages import taken_in, walk_in_form
from jobs.invoices.forms import SizeForm
from jobs.mail.actions import send_mail
from jobs.mail.forms import KindForm
from jobs.mail.pages import booking_mail_text
from jobs.models import Booking
from jobs.money.actions import record_deposit, reverse_deposit
from jobs.money.discount_actions import give_discount, take_back_discount
from jobs.money.forms import CancelForm, DiscountForm, PaymentForm, ReverseForm
from jobs.papers.visit_actions import print_confirmation
from jobs.public.link_actions import revoke_link
from jobs.public.link_pages import booking_link_make
from jobs.workorders.row_pages import (
    booking,
    deposit_of_booking,
    discount_of_booking,
)
from shopapp.buttons import button
from shopapp.rows import by_pk, page_of_made
from shopapp.say import say


def _to_booking(pk: int) -> str:
    return reverse("jobs:booking_detail", args=[pk])


act = partial(button, page=bookings.booking_detail, on=booking)
make = button(
    make_booking,
    page=bookings.booking_new,
    form=bookings.booking_form,
    then=page_of_made("jobs:booking_detail"),
)
come = button(
    walk_in,
    page=bookings.booking_new,
    form=walk_in_form,
    then=page_of_made("jobs:workorder_detail"),
    told=taken_in,
)
change = button(
    change_booking,
    page=bookings.booking_edit,
    on=booking,
    form=bookings.booking_form,
    then=_to_booking,
)

urlpatterns: list[URLPattern] = [
    path("", bookings.bookings, name="bookings"),
    path("new/", bookings.booking_new, name="booking_new"),
    path("look/", bookings.booking_look, name="booking_look"),
    path("fits/", fits.booking_fits, name="booking_fits"),
    path("known/", bookings.booking_known, name="booking_known"),
    path("make/", make, name="booking_make"),
    path("walk-in/", come, name="booking_walk_in"),
    path("<int:pk>/", bookings.booking_detail, name="booking_detail"),
    path("<int:pk>/look/", bookings.booking_look, name="booking_look"),
    path("<int:pk>/fits/", fits.booking_fits, name="booking_fits"),
    path("<int:pk>/edit/", bookings.booking_edit, name="booking_edit"),
    path("<int:pk>/change/", change, name="booking_change"),
    path(
        "<int:pk>/cancel/", act(cancel_booking, form=CancelForm), name="booking_cancel"
    ),
    path(
        "<int:pk>/mail/send/",
        button(
            send_mail,
            page=bookings.booking_detail,
            on=by_pk(Booking, "booking_pk"),
            form=KindForm,
            told=say("The mail goes out."),
        ),
        name="booking_mail_send",
    ),
    path("<int:pk>/mail/text/", booking_mail_text, name="booking_mail_text"),
    path("<int:pk>/links/make/", booking_link_make, name="booking_link_make"),
    path(
        "<int:pk>/links/<int:link_pk>/revoke/",
        act(revoke_link),
        name="booking_link_revoke",
    ),
    path(
        "<int:pk>/confirmation/print/",
        act(print_confirmation, form=SizeForm, then=page_of_made("jobs:paper_detail")),
        name="confirmation_print",
    ),
    path("<int:pk>/move/", act(move_booking, form=MoveDayForm), name="booking_move"),
    path("<int:pk>/move/look/", moves.booking_move_look, name="booking_move_look"),
    path("<int:pk>/restore/", act(restore_booking), name="booking_restore"),
    path(
        "<int:pk>/deposits/record/",
        act(record_deposit, form=PaymentForm),
        name="deposit_record",
    ),
    path(
        "<int:pk>/deposits/<int:payment_pk>/reverse/",
        act(reverse_deposit, on=deposit_of_booking, form=ReverseForm),
        name="deposit_reverse",
    ),
    path(
        "<int:pk>/discounts/give/",
        act(give_discount, form=DiscountForm),
        name="booking_discount_give",
    ),
    path(
        "<int:pk>/discounts/<int:discount_pk>/take-back/",
        act(take_back_discount, on=discount_of_booking),
        name="booking_discount_take_back",
    ),
]
