"""The cut list on paper: what to cut from what, drawn to scale, cuts numbered."""

from __future__ import annotations

from collections.abc import Sequence

from jobs.models import OffCut, Pull, Roll, WorkOrder
from jobs.papers.facts import Json, said, shop_facts, to_json
from jobs.pulls.change_queries import changed_since
from jobs.pulls.plan import PanelToCut
from jobs.pulls.queries import planned_with
from jobs.pulls.shown_queries import PullShown, pull_shown
from jobs.pulls.taken_queries import FilmTaken, Source, film_taken
from shopapp.figures import Figure, given
from shopapp.frame import Refused
from shopapp.models import the_shop
from shopapp.say import say
from shopapp.telling import show


def cut_list_paper(order: WorkOrder) -> Json:
    """The newest cut list of an order that was not replaced, with the shop's head."""
    pull = newest_pull(order)
    if pull is None:
        raise Refused(say("Plan the pull first: there is no cut list yet."))
    return {"shop": to_json(shop_facts()), **cut_list_facts(pull)}


def newest_pull(order: WorkOrder) -> Pull | None:
    """The plan that waits; else the newest whose film was taken, in any round."""
    pulls = order.pulls.exclude(state=Pull.State.REPLACED).exclude(cut_plan=None)
    return pulls.filter(state=Pull.State.PLANNED).first() or pulls.first()


def cut_list_facts(pull: Pull, *, took: FilmTaken | None = None) -> Json:
    """Everything the paper shows, in the shop's units of that day.

    took  where its film was taken: what it really came from
    """
    if took is None and pull.state == Pull.State.TAKEN:
        found = (each for each in film_taken(pull.workorder) if each.row.pk == pull.pk)
        took = next(found, None)
    shown = took.shown if took and took.shown else pull_shown(pull)
    claim = shown.claim
    plan, order = shown.found.plan, pull.workorder
    return {
        "pull": pull.pk,
        "order": order.number,
        "plate": order.vehicle.known_by,
        "vehicle": str(order.vehicle),
        "colour": order.vehicle.colour,
        "film": order.film.name,
        "film_code": order.film.code,
        "directional": order.film.is_directional,
        "spoilt": bool(pull.plan["spoilt"]),
        "orders": shown.orders,
        "share": _told(given(pull.planned_mm / 1000, "m", "share")),
        "length": _told(shown.length),
        "on_offcuts": not plan.pulls,
        "claim": said(claim) if claim else "",
        "is_taken": pull.state == Pull.State.TAKEN,
        "round": pull.round,
        "cut_for": _cut_for(took, shown),
        "changed": _changed(pull, shown),
        "waste": _told(shown.waste) if shown.waste else "",
        "sources": _really(took, shown) if took else _sources(shown),
        "drawings": _drawings(shown),
        "cuts": _cuts(shown),
        "panels": [_panel(panel) for panel in shown.found.job.panels],
        "sizes_from": _sizes_from(shown.found.job.panels),
        "keep": [
            {"source": at, "size": f"{_mm(width)} × {_mm(length)}"}
            for at, _x, _y, width, length in plan.new_offcuts
        ],
        "unplaced": [said(missing.reason) for missing in plan.unplaced],
    }


def _drawings(shown: PullShown) -> list[Json]:
    return [
        {
            "title": drawing.title,
            "is_offcut": drawing.source_id in shown.found.plan.used_offcuts,
            "svg": drawing.svg,
            "rows": list(drawing.rows),
            "key": [list(line) for line in drawing.key],
        }
        for drawing in shown.drawings
    ]


def _cuts(shown: PullShown) -> list[Json]:
    return [
        {
            "source": source,
            "is_offcut": source in shown.found.plan.used_offcuts,
            "steps": [[number, said(text)] for number, text in cuts],
        }
        for source, cuts in shown.steps
    ]


def _told(figure: Figure) -> str:
    return str(show(figure, system=the_shop().system))


def _mm(length_mm: int) -> str:
    return str(show(length_mm, unit="mm", system=the_shop().system))


def _panel(panel: PanelToCut) -> Json:
    return {
        "name": panel.name,
        "length": _told(panel.blank.length_mm),
        "width": _told(panel.blank.width_mm),
        "by_hand": panel.by_hand,
        "basis": said(panel.blank.basis),
    }


def _sizes_from(panels: Sequence[PanelToCut]) -> list[Json]:
    """Each basis once, with the panels whose size is from there."""
    found: dict[str, list[str]] = {}
    for panel in panels:
        basis = panel.blank.basis
        whole = said(basis)
        source = whole.removeprefix(f"{dict(basis.params)['panel']}: ")
        found.setdefault(source, []).append(panel.name)
    return [{"source": source, "panels": names} for source, names in found.items()]


def _cut_for(took: FilmTaken | None, shown: PullShown) -> list[str]:
    """The panels that were cut, where it was not all that was planned."""
    if took is None or shown.orders:
        return []
    all_cut = len(took.panels) == shown.planned_panels
    return [] if all_cut else list(took.panels)


def _changed(pull: Pull, shown: PullShown) -> list[str]:
    """How the order differs from what a waiting plan was made for."""
    if pull.state != Pull.State.PLANNED:
        return []
    orders = [each.workorder for each in planned_with(pull)]
    spoilt = pull.plan["spoilt"]
    return [said(text) for text in changed_since(shown.found, orders, spoilt=spoilt)]


def _sources(shown: PullShown) -> list[Json]:
    """What to take. Off-cuts first, as they are cut first; then the rolls."""
    plan = shown.found.plan
    offcuts = OffCut.objects.filter(code__in=plan.used_offcuts).select_related("roll")
    lengths = {pull.roll_id: pull.length_mm for pull in plan.pulls}
    return [
        *(
            _source(offcut.code, "off-cut", offcut.roll.lot, offcut, offcut.length_mm)
            for offcut in offcuts
        ),
        *(
            _source(roll.code, "roll", roll.lot, roll, lengths[roll.code])
            for roll in Roll.objects.filter(code__in=lengths)
        ),
    ]


def _source(code: str, kind: str, lot: str, row: Roll | OffCut, length_mm: int) -> Json:
    return {
        "code": code,
        "kind": kind,
        "lot": lot,
        "location": row.location,
        "width": _mm(row.width_mm),
        "length": _mm(length_mm),
    }


def _really(took: FilmTaken, shown: PullShown) -> list[Json]:
    """What the film really came from, beside the length that was planned."""
    planned = {pull.roll_id: pull.length_mm for pull in shown.found.plan.pulls}
    rows = []
    for source in took.sources:
        row = source_facts(source)
        if source.kind == "roll":
            mm = planned.get(source.code)
            row["length"] = _mm(mm) if mm and not shown.orders else "–"
        rows.append(row)
    return rows


def source_facts(source: Source) -> Json:
    """A roll or off-cut that film was taken from."""
    return {
        "code": source.code,
        "kind": source.kind,
        "lot": source.lot,
        "location": source.location,
        "width": _mm(source.width_mm),
        "length": _mm(source.length_mm),
        "taken": metres_told(source.length_mm),
        "ended": source.ended,
    }


def metres_told(length_mm: int) -> str:
    """A length of roll: "5.79 m"."""
    return _told(given(length_mm / 1000, "m", "movements"))
