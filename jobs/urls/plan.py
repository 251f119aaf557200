"""The plan, below `plan/`: today, days, one car, what is proposed."""

from __future__ import annotations

from functools import partial

from django.urls import URLPattern, path

from jobs.plan import car_pages, move_pages, pages, proposal_pages, week_pages
from jobs.plan.actions import drop_plan, make_plan, publish_plan, stop_search
from jobs.plan.move_actions import move_car
from jobs.workorders.row_pages import booking
from shopapp.buttons import button
from shopapp.say import say

propose = button(
    make_plan,
    page=pages.plan,
    on=proposal_pages.quick_draft,
    then="jobs:plan_proposal",
)
move = button(
    move_car,
    page=car_pages.plan_car,
    on=booking,
    form=car_pages.move_form,
    told=say("Kept. Plan again to see what moves for it."),
)
of_proposal = partial(
    button, page=proposal_pages.plan_proposal, on=proposal_pages.plan_row
)
publish = of_proposal(
    publish_plan, then="jobs:plan", told=say("Published: this is the plan now.")
)
drop = of_proposal(
    drop_plan, then="jobs:plan", told=say("Dropped: the plan stays as it was.")
)

urlpatterns: list[URLPattern] = [
    path("", pages.plan, name="plan"),
    path("week/", week_pages.plan_week, name="plan_week"),
    path("day/<slug:day>/", week_pages.plan_day, name="plan_day"),
    path("cars/<int:pk>/", car_pages.plan_car, name="plan_car"),
    path("cars/<int:pk>/look/", move_pages.plan_car_look, name="plan_car_look"),
    path("cars/<int:pk>/move/", move, name="plan_move"),
    path("make/", propose, name="plan_make"),
    path("proposal/", proposal_pages.plan_proposal, name="plan_proposal"),
    path("proposal/<int:plan_pk>/stop/", of_proposal(stop_search), name="plan_stop"),
    path("proposal/<int:plan_pk>/publish/", publish, name="plan_publish"),
    path("proposal/<int:plan_pk>/drop/", drop, name="plan_drop"),
]
