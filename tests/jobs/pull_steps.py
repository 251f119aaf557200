"""Planning a pull and taking it, by the actions themselves."""

from __future__ import annotations

from jobs.film.offcut_actions import keep_offcut
from jobs.models import (
    OffCut,
    Pull,
)
from jobs.pulls.actions import (
    plan_the_pull,
    recut_panels,
)
from jobs.pulls.plan import QUICK, plan_job
from jobs.pulls.queries import panels_to_cut, pull_job
from jobs.pulls.stored import freeze, pull_from_json
from jobs.pulls.taken_actions import RollTaken, confirm_pull
from shopapp.frame import perform
from shopapp.units import System
from tests.makers import (
    make_tap,
)


def quick(order, panels=None, *, spoilt=()):
    wanted = panels_to_cut(order) if panels is None else panels
    job = pull_job(order.film, [(order, wanted)])
    return freeze(plan_job(job, budget=QUICK), system=System.METRIC, spoilt=spoilt)


def plan(order, by):
    answer = perform(
        make_tap(by), plan_the_pull, workorder_pk=order.pk, quick=quick(order)
    )
    return Pull.objects.get(pk=answer["pk"])


def as_planned(pull):
    return tuple(
        RollTaken(planned_roll=code, roll=code, length_mm=length)
        for code, length in pull_from_json(pull.plan).plan.pulls
    )


def take(pull, by, *, taken=None, kept=(), key=""):
    return perform(
        make_tap(by, key=key),
        confirm_pull,
        workorder_pk=pull.workorder_id,
        pull_pk=pull.pk,
        taken=as_planned(pull) if taken is None else taken,
        kept=kept,
        measured_so=taken is not None,
    )


def keep(roll, by, *, width_mm=1500, length_mm=1700):
    answer = perform(
        make_tap(by), keep_offcut,
        roll_pk=roll.pk, width_mm=width_mm, length_mm=length_mm,
    )  # fmt: skip
    return OffCut.objects.get(pk=answer["pk"])


def spoil(order, by, code):
    panel = order.panels.get(panel=code)
    answer = perform(
        make_tap(by), recut_panels,
        workorder_pk=order.pk, quick=quick(order, [panel], spoilt=[code]),
    )  # fmt: skip
    return Pull.objects.get(pk=answer["pk"])
