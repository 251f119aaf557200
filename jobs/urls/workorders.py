"""The order itself, below its address: on its way, its promised time."""

from __future__ import annotations

from functools import partial

from django.urls import URLPattern, path

from jobs.handover.forms import RecheckFoundForm
from jobs.handover.pages import after_recheck
from jobs.handover.recheck_actions import record_recheck
from jobs.promises.actions import change_promise, doubt_promise, keep_promise
from jobs.promises.forms import DoubtForm
from jobs.promises.pages import calls, promise_tell
from jobs.workorders.actions import (
    advance_stage,
    pause_job,
    place_car,
    resume_job,
    set_crew,
)
from jobs.workorders.forms import (
    AdvanceForm,
    CrewForm,
    PauseForm,
    PlaceForm,
    PromiseForm,
)
from jobs.workorders.history_pages import workorder_history
from jobs.workorders.pages import back, workorder_detail
from jobs.workorders.row_pages import order
from shopapp.buttons import button

act = partial(button, page=workorder_detail, on=order, then=back)

urlpatterns: list[URLPattern] = [
    path("", workorder_detail, name="workorder_detail"),
    path("advance/", act(advance_stage, form=AdvanceForm), name="workorder_advance"),
    path("pause/", act(pause_job, form=PauseForm), name="workorder_pause"),
    path("resume/", act(resume_job), name="workorder_resume"),
    path("place/", act(place_car, form=PlaceForm), name="workorder_place"),
    path("crew/", act(set_crew, form=CrewForm), name="workorder_crew"),
    path(
        "recheck/record/",
        act(record_recheck, form=RecheckFoundForm, then=after_recheck),
        name="recheck_record",
    ),
    path("promise/", act(change_promise, form=PromiseForm), name="workorder_promise"),
    path("promise/doubt/", act(doubt_promise, form=DoubtForm), name="promise_doubt"),
    path("promise/tell/", promise_tell, name="promise_tell"),
    path(
        "promise/keep/",
        button(keep_promise, page=calls, on=order),
        name="promise_keep",
    ),
    path("history/", workorder_history, name="workorder_history"),
]
