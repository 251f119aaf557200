"""Defects and the final look; their page is the panels page."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_POST

from jobs.actions.inspection import (
    accept_defect,
    open_defect,
    record_final_look,
    redo_panel,
    touch_up_defect,
    watch_defect,
)
from jobs.actions.redo import take_back_redo
from jobs.forms.panels import AcceptForm, DefectForm, FinalLookForm, NoteForm
from jobs.views.panels import press_panels
from shopapp.access import allow


@require_POST
@allow("defect.open")
def defect_open(request: HttpRequest, pk: int, panel_pk: int) -> HttpResponse:
    """Write down what is wrong with the film on a panel."""
    form = DefectForm(request.POST, request.FILES)
    return press_panels(request, pk, open_defect, form=form, panel_pk=panel_pk)


@require_POST
@allow("defect.touch_up")
def defect_touch_up(request: HttpRequest, pk: int, defect_pk: int) -> HttpResponse:
    """Put right on the spot."""
    form = NoteForm(request.POST)
    return press_panels(request, pk, touch_up_defect, form=form, defect_pk=defect_pk)


@require_POST
@allow("defect.watch")
def defect_watch(request: HttpRequest, pk: int, defect_pk: int) -> HttpResponse:
    """Left alone, and looked at again at the recheck."""
    form = NoteForm(request.POST)
    return press_panels(request, pk, watch_defect, form=form, defect_pk=defect_pk)


@require_POST
@allow("defect.redo")
def defect_redo(request: HttpRequest, pk: int, defect_pk: int) -> HttpResponse:
    """New film: the car goes back to install in a new round."""
    form = NoteForm(request.POST)
    return press_panels(request, pk, redo_panel, form=form, defect_pk=defect_pk)


@require_POST
@allow("defect.redo_undo")
def defect_redo_undo(request: HttpRequest, pk: int, defect_pk: int) -> HttpResponse:
    """The film stays on after all."""
    return press_panels(request, pk, take_back_redo, defect_pk=defect_pk)


@require_POST
@allow("defect.accept")
def defect_accept(request: HttpRequest, pk: int, defect_pk: int) -> HttpResponse:
    """The manager lets it pass, with the reason."""
    form = AcceptForm(request.POST)
    return press_panels(request, pk, accept_defect, form=form, defect_pk=defect_pk)


@require_POST
@allow("finallook.record")
def finallook_record(request: HttpRequest, pk: int) -> HttpResponse:
    """What the look after the cure time found."""
    form = FinalLookForm(request.POST)
    return press_panels(request, pk, record_final_look, form=form)
