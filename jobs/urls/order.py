"""Addresses of an order: its pages, then a verb for a POST."""

from __future__ import annotations

from django.urls import URLPattern, URLResolver, path

from jobs.views import (
    checks,
    handover,
    history,
    mixing,
    papers,
    pouring_from,
    promises,
    safety,
    trouble,
    workorder_film,
    workorders,
)

urlpatterns: list[URLPattern | URLResolver] = [
    # the order
    path("workorders/<int:pk>/", workorders.workorder_detail, name="workorder_detail"),
    path(
        "workorders/<int:pk>/advance/",
        workorders.workorder_advance,
        name="workorder_advance",
    ),
    path(
        "workorders/<int:pk>/pause/", workorders.workorder_pause, name="workorder_pause"
    ),
    path(
        "workorders/<int:pk>/resume/",
        workorders.workorder_resume,
        name="workorder_resume",
    ),
    path(
        "workorders/<int:pk>/place/", workorders.workorder_place, name="workorder_place"
    ),
    path("workorders/<int:pk>/crew/", workorders.workorder_crew, name="workorder_crew"),
    path(
        "workorders/<int:pk>/recheck/record/",
        workorders.recheck_record,
        name="recheck_record",
    ),
    path(
        "workorders/<int:pk>/promise/",
        workorders.workorder_promise,
        name="workorder_promise",
    ),
    path(
        "workorders/<int:pk>/promise/doubt/",
        workorders.promise_doubt,
        name="promise_doubt",
    ),
    path(
        "workorders/<int:pk>/promise/tell/", promises.promise_tell, name="promise_tell"
    ),
    path(
        "workorders/<int:pk>/promise/keep/", promises.promise_keep, name="promise_keep"
    ),
    path(
        "workorders/<int:pk>/history/",
        history.workorder_history,
        name="workorder_history",
    ),
    # papers and safety notes
    path(
        "workorders/<int:pk>/papers/", papers.workorder_papers, name="workorder_papers"
    ),
    path("workorders/<int:pk>/papers/issue/", papers.paper_issue, name="paper_issue"),
    path(
        "workorders/<int:pk>/safety/", safety.workorder_safety, name="workorder_safety"
    ),
    path("workorders/<int:pk>/prep/use/", safety.prep_use, name="prep_use"),
    path("workorders/<int:pk>/prep/none/", safety.prep_none, name="prep_none"),
    path(
        "workorders/<int:pk>/prep/no-remover/",
        safety.prep_no_remover,
        name="prep_no_remover",
    ),
    path("workorders/<int:pk>/prep/more/", safety.prep_more, name="prep_more"),
    path(
        "workorders/<int:pk>/prep/<int:use_pk>/undo/",
        safety.prep_undo,
        name="prep_undo",
    ),
    path("workorders/<int:pk>/heat/", safety.workorder_heat, name="workorder_heat"),
    path("workorders/<int:pk>/heat/check/", safety.heat_check, name="heat_check"),
    # the installer's pages of the order
    path(
        "workorders/<int:pk>/checks/", checks.workorder_checks, name="workorder_checks"
    ),
    path(
        "workorders/<int:pk>/checks/<int:list_pk>/<slug:item>/answer/",
        checks.checklist_answer,
        name="checklist_answer",
    ),
    path("workorders/<int:pk>/marks/add/", checks.mark_add, name="mark_add"),
    path(
        "workorders/<int:pk>/marks/approve/", checks.marks_approve, name="marks_approve"
    ),
    path("workorders/<int:pk>/sign/", checks.workorder_sign, name="workorder_sign"),
    path("workorders/<int:pk>/agree/", checks.workorder_agree, name="workorder_agree"),
    path(
        "workorders/<int:pk>/paint/<slug:panel>/read/",
        checks.paint_read,
        name="paint_read",
    ),
    path(
        "workorders/<int:pk>/added-work/add/",
        checks.addedwork_add,
        name="addedwork_add",
    ),
    path(
        "workorders/<int:pk>/added-work/<int:work_pk>/done/",
        checks.addedwork_done,
        name="addedwork_done",
    ),
    # money and hand-over
    path(
        "workorders/<int:pk>/handover/",
        handover.handover_detail,
        name="handover_detail",
    ),
    path(
        "workorders/<int:pk>/handover/give/",
        handover.handover_give,
        name="handover_give",
    ),
    path(
        "workorders/<int:pk>/payments/record/",
        handover.payment_record,
        name="payment_record",
    ),
    path(
        "workorders/<int:pk>/payments/<int:payment_pk>/reverse/",
        handover.payment_reverse,
        name="payment_reverse",
    ),
    path("workorders/<int:pk>/links/make/", handover.link_make, name="link_make"),
    path(
        "workorders/<int:pk>/links/<int:link_pk>/revoke/",
        handover.link_revoke,
        name="link_revoke",
    ),
    path(
        "workorders/<int:pk>/recheck/book/", handover.recheck_book, name="recheck_book"
    ),
    # the film
    path(
        "workorders/<int:pk>/film/",
        workorder_film.workorder_film,
        name="workorder_film",
    ),
    path("workorders/<int:pk>/film/plan/", workorder_film.pull_plan, name="pull_plan"),
    path(
        "workorders/<int:pk>/film/take/",
        workorder_film.pull_unplanned,
        name="pull_unplanned",
    ),
    path(
        "workorders/<int:pk>/film/seen/<slug:seen>/",
        workorder_film.pull_seen,
        name="pull_seen",
    ),
    path(
        "workorders/<int:pk>/film/return/",
        workorder_film.film_return,
        name="film_return",
    ),
    path(
        "workorders/<int:pk>/film/recut/<int:panel_pk>/",
        workorder_film.pull_recut,
        name="pull_recut",
    ),
    path(
        "workorders/<int:pk>/film/<int:pull_pk>/confirm/",
        workorder_film.pull_confirm,
        name="pull_confirm",
    ),
    path(
        "workorders/<int:pk>/film/<int:pull_pk>/drop/",
        workorder_film.pull_drop,
        name="pull_drop",
    ),
    path(
        "workorders/<int:pk>/film/<int:pull_pk>/replan/",
        workorder_film.pull_replan,
        name="pull_replan",
    ),
    path(
        "workorders/<int:pk>/film/<int:pull_pk>/drawing.svg",
        workorder_film.pull_drawing,
        name="pull_drawing",
    ),
    # the mixing
    path(
        "workorders/<int:pk>/mixing/", mixing.workorder_mixing, name="workorder_mixing"
    ),
    path(
        "workorders/<int:pk>/mixing/plan/",
        mixing.workorder_mix_plan,
        name="workorder_mix_plan",
    ),
    path(
        "workorders/<int:pk>/mixing/take/",
        mixing.workorder_mix_take,
        name="workorder_mix_take",
    ),
    path(
        "workorders/<int:pk>/trouble/",
        trouble.workorder_trouble,
        name="workorder_trouble",
    ),
    path(
        "workorders/<int:pk>/mixing/print/",
        mixing.workorder_mix_print,
        name="workorder_mix_print",
    ),
    path(
        "workorders/<int:pk>/mixing/water/",
        mixing.workorder_mix_water,
        name="workorder_mix_water",
    ),
    path(
        "workorders/<int:pk>/mixing/top-up/",
        mixing.workorder_mix_top_up,
        name="workorder_mix_top_up",
    ),
    path(
        "workorders/<int:pk>/mixing/<slug:kind>/",
        mixing.workorder_mix,
        name="workorder_mix",
    ),
    path(
        "workorders/<int:pk>/mixing/<slug:kind>/scan/",
        mixing.workorder_mix_scan,
        name="workorder_mix_scan",
    ),
    path(
        "workorders/<int:pk>/mixing/<slug:kind>/start/",
        mixing.workorder_mix_start,
        name="workorder_mix_start",
    ),
    path(
        "workorders/<int:pk>/mixing/<slug:kind>/skip/",
        mixing.workorder_mix_skip,
        name="workorder_mix_skip",
    ),
    path(
        "workorders/<int:pk>/mixing/<slug:kind>/<int:version>/",
        mixing.workorder_mix_steps,
        name="workorder_mix_steps",
    ),
    path(
        "workorders/<int:pk>/mixing/<slug:kind>/<int:version>/record/",
        mixing.workorder_mix_record,
        name="workorder_mix_record",
    ),
    path(
        "workorders/<int:pk>/mixing/<slug:kind>/<int:version>/from/",
        pouring_from.workorder_mix_from,
        name="workorder_mix_from",
    ),
    path(
        "workorders/<int:pk>/mixing/<slug:kind>/open/<str:code>/",
        pouring_from.workorder_mix_open,
        name="workorder_mix_open",
    ),
]
