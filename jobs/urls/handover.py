"""Money, the customer's link and giving the car back, below an order's address."""

from __future__ import annotations

from functools import partial

from django.urls import URLPattern, path

from jobs.handover.actions import give_car
from jobs.handover.forms import GiveForm, RecheckForm
from jobs.handover.pages import handover_detail
from jobs.mail.actions import send_mail
from jobs.mail.forms import KindForm
from jobs.mail.pages import mail_text
from jobs.money.actions import record_payment, reverse_payment
from jobs.money.discount_actions import give_discount, take_back_discount
from jobs.money.forms import DiscountForm, PaymentForm, ReverseForm
from jobs.public.actions import book_recheck
from jobs.public.customer_forms import RegisterForm
from jobs.public.link_actions import revoke_link
from jobs.public.link_pages import link_make
from jobs.public.report_actions import register_film, settle_report
from jobs.workorders.row_pages import discount_of_order, order, payment_of_order
from shopapp.buttons import button
from shopapp.say import say

act = partial(button, page=handover_detail, on=order)

urlpatterns: list[URLPattern] = [
    path("handover/", handover_detail, name="handover_detail"),
    path("handover/give/", act(give_car, form=GiveForm), name="handover_give"),
    path(
        "payments/record/", act(record_payment, form=PaymentForm), name="payment_record"
    ),
    path(
        "payments/<int:payment_pk>/reverse/",
        act(reverse_payment, on=payment_of_order, form=ReverseForm),
        name="payment_reverse",
    ),
    path(
        "discounts/give/", act(give_discount, form=DiscountForm), name="discount_give"
    ),
    path(
        "discounts/<int:discount_pk>/take-back/",
        act(take_back_discount, on=discount_of_order),
        name="discount_take_back",
    ),
    path(
        "mail/send/",
        act(send_mail, form=KindForm, told=say("The mail goes out.")),
        name="mail_send",
    ),
    path("mail/text/", mail_text, name="mail_text"),
    path("links/make/", link_make, name="link_make"),
    path("links/<int:link_pk>/revoke/", act(revoke_link), name="link_revoke"),
    path("reports/<int:report_pk>/settle/", act(settle_report), name="report_settle"),
    path("film/register/", act(register_film, form=RegisterForm), name="film_register"),
    path("recheck/book/", act(book_recheck, form=RecheckForm), name="recheck_book"),
]
