"""The panels of an order, below its address: from ready to looked at, and defects."""

from __future__ import annotations

from functools import partial

from django.urls import URLPattern, path

from jobs.condition.reading_actions import take_reading
from jobs.panels.actions import (
    lay_panel,
    make_all_ready,
    make_panel_ready,
    measure_panel,
    strike_panel,
    take_back_laid,
)
from jobs.panels.forms import (
    AcceptForm,
    DefectForm,
    FinalLookForm,
    NoteForm,
    SizeForm,
    StrikeForm,
)
from jobs.panels.inspection_actions import (
    accept_defect,
    look_at_panel,
    look_at_the_rest,
    open_defect,
    record_final_look,
    redo_panel,
    take_back_look,
    touch_up_defect,
    watch_defect,
)
from jobs.panels.pages import reading_form, workorder_panels
from jobs.panels.redo_actions import take_back_redo
from jobs.workorders.row_pages import order, panel_of_order
from shopapp.buttons import button

PANEL = "panels/<int:panel_pk>"
DEFECT = "defects/<int:defect_pk>"
act = partial(button, page=workorder_panels, on=order)
undone = partial(act, undo="panel_pk")
measure = act(measure_panel, on=panel_of_order, form=SizeForm)

urlpatterns: list[URLPattern] = [
    path("panels/", workorder_panels, name="workorder_panels"),
    path("readings/take/", act(take_reading, form=reading_form), name="reading_take"),
    path("panels/ready/", act(make_all_ready), name="panels_ready"),
    path("panels/looked/", act(look_at_the_rest), name="panels_looked"),
    path(f"{PANEL}/ready/", act(make_panel_ready), name="panel_ready"),
    path(f"{PANEL}/unready/", act(make_panel_ready, ready=False), name="panel_unready"),
    path(f"{PANEL}/lay/", undone(lay_panel), name="panel_lay"),
    path(f"{PANEL}/unlay/", act(take_back_laid), name="panel_unlay"),
    path(f"{PANEL}/strike/", act(strike_panel, form=StrikeForm), name="panel_strike"),
    path(f"{PANEL}/put-back/", act(strike_panel), name="panel_put_back"),
    path(f"{PANEL}/measure/", measure, name="panel_measure"),
    path(f"{PANEL}/look/", undone(look_at_panel), name="panel_look"),
    path(f"{PANEL}/unlook/", act(take_back_look), name="panel_unlook"),
    # what is wrong with one
    path(f"{PANEL}/defect/", act(open_defect, form=DefectForm), name="defect_open"),
    path(
        f"{DEFECT}/touch-up/",
        act(touch_up_defect, form=NoteForm),
        name="defect_touch_up",
    ),
    path(f"{DEFECT}/watch/", act(watch_defect, form=NoteForm), name="defect_watch"),
    path(f"{DEFECT}/redo/", act(redo_panel, form=NoteForm), name="defect_redo"),
    path(f"{DEFECT}/redo/undo/", act(take_back_redo), name="defect_redo_undo"),
    path(
        f"{DEFECT}/accept/", act(accept_defect, form=AcceptForm), name="defect_accept"
    ),
    path(
        "final-look/record/",
        act(record_final_look, form=FinalLookForm),
        name="finallook_record",
    ),
]
