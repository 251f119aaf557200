"""A planned pull as JSON and back, without loss (pure)."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import asdict, dataclass
from decimal import Decimal
from html import escape
from typing import Any

from jobs.as_kept import known_fields, row_as
from jobs.coverage.blanks import PanelBlank
from jobs.nesting import (
    Cut,
    NewOffcut,
    Offcut,
    Placement,
    Pull,
    PullPlan,
    Roll,
    Share,
    Unplaced,
)
from jobs.nesting.drawing import Drawing
from jobs.pulls.plan import PanelToCut, PlannedPull, PullJob, draw_job
from shopapp.documents import Document
from shopapp.figures import Figure
from shopapp.say import Say, say_from_json, say_to_json
from shopapp.units import System

Json = dict[str, Any]
GAP_PX = 24
KEY_COLUMNS, KEY_LEFT_PX, KEY_WIDTH_PX, KEY_LINE_PX = 3, 24, 325, 22
TITLE_PX = 30
"""Where the key stands in the exported drawing, which is 1000 wide."""


def _from_1(plan: Json) -> Json:
    """Lots of film, and whether the knife's plan is the best there is."""
    for piece in [*plan["rolls"], *plan["offcuts"]]:
        piece.setdefault("lot", "")
    plan["plan"].setdefault("knife_best", False)
    plan.pop("together", None)
    return {"one_lot": False, "lot_on_car": "", **plan}


CUT_PLAN = Document(kind="cut plan", steps={1: _from_1})


@dataclass(frozen=True, kw_only=True)
class FrozenPull:
    """A planned pull with its drawings, ready to be kept.

    spoilt  panels that are cut a second time
    """

    found: PlannedPull
    drawings: tuple[Drawing, ...]
    spoilt: tuple[str, ...] = ()

    @property
    def svg(self) -> str:
        """The file that is given out: orders, film, all sheets."""
        job = self.found.job
        orders = dict.fromkeys(panel.group for panel in job.panels)
        return one_svg(self.drawings, heading=" · ".join([*orders, job.film_code]))

    def facts(self) -> Json:
        """What is stored of it."""
        facts = pull_to_json(self.found, drawings=self.drawings)
        return CUT_PLAN.stamp({**facts, "spoilt": list(self.spoilt)})

    def to_json(self) -> Json:
        """What the press of the button was about: which panels, not which answer.

        The same press sent twice is the same press, though the shelf has changed.
        """
        ids = sorted(panel.id for panel in self.found.job.panels)
        return {"panels": ids, "spoilt": list(self.spoilt)}


def freeze(
    found: PlannedPull,
    *,
    system: System,
    translate: Callable[[Say], str] = str,
    spoilt: Sequence[str] = (),
) -> FrozenPull:
    """Draw a planned pull in the shop's units."""
    return FrozenPull(
        found=found,
        drawings=draw_job(found, system=system, translate=translate),
        spoilt=tuple(spoilt),
    )


def pull_to_json(found: PlannedPull, *, drawings: Sequence[Drawing]) -> Json:
    """Everything that a page or paper of this pull shows."""
    job = found.job
    return {
        "film": job.film_code,
        "may_turn": job.may_turn,
        "one_lot": job.one_lot,
        "lot_on_car": job.lot_on_car,
        "panels": [_panel_to_json(panel) for panel in job.panels],
        "rolls": [
            {**asdict(roll), "cost_per_m": _text(roll.cost_per_m)} for roll in job.rolls
        ],
        "offcuts": [asdict(offcut) for offcut in job.offcuts],
        "singly_mm": found.singly_mm,
        "plan": _plan_to_json(found.plan),
        "drawings": [asdict(drawing) for drawing in drawings],
    }


def pull_from_json(stored: Mapping[str, Any]) -> PlannedPull:
    """The planned pull of a cut plan of the newest version."""
    return PlannedPull(
        job=PullJob(
            film_code=stored["film"],
            may_turn=stored["may_turn"],
            panels=tuple(_panel(row) for row in stored["panels"]),
            rolls=tuple(
                Roll(
                    **known_fields(Roll, row)
                    | {"cost_per_m": _decimal(row["cost_per_m"])}
                )
                for row in stored["rolls"]
            ),
            offcuts=tuple(
                Offcut(**known_fields(Offcut, row)) for row in stored["offcuts"]
            ),
            one_lot=stored["one_lot"],
            lot_on_car=stored["lot_on_car"],
        ),
        plan=_plan(stored["plan"]),
        singly_mm=stored["singly_mm"],
    )


def blanks_of(stored: Mapping[str, Any], *, order: str, panels: Sequence[str]) -> int:
    """Area of an order's blanks of these panels, mm2, without reading all the rest."""
    return sum(
        int(row["width_mm"]["value"]) * int(row["length_mm"]["value"])
        for row in stored["panels"]
        if row["group"] == order and row["panel"] in panels
    )


def off_rolls(stored: Mapping[str, Any]) -> tuple[int, int]:
    """Length and area of film that a plan takes off rolls, mm and mm2."""
    widths = {row["id"]: row["width_mm"] for row in stored["rolls"]}
    pulls = [row_as(Pull, row) for row in stored["plan"]["pulls"]]
    return (
        sum(pull.length_mm for pull in pulls),
        sum(pull.length_mm * widths[pull.roll_id] for pull in pulls),
    )


def drawings_from_json(stored: Mapping[str, Any]) -> tuple[Drawing, ...]:
    """The drawings of a cut plan, as they were drawn."""
    return tuple(
        Drawing(
            **known_fields(Drawing, row)
            | {"key": tuple((a, b, c) for a, b, c in row["key"])}
        )
        for row in stored["drawings"]
    )


def one_svg(drawings: Sequence[Drawing], *, heading: str = "") -> str:
    """All sheets under each other in one SVG file, each with the key of its letters.

    heading  whose cut list it is
    Each drawing says its size in its `viewBox`. The ground is white: the lines are
    black in a file that stands alone.
    """
    top, parts, widest = 0.0, [], 0.0
    for line in [heading] if heading else []:
        parts.append(_line(line, x=KEY_LEFT_PX, top=top, bold=True))
        top += TITLE_PX
    for drawing in drawings:
        _, _, width, height = map(float, _view_box(drawing.svg).split())
        parts.append(_line(drawing.title, x=KEY_LEFT_PX, top=top))
        top += TITLE_PX
        place = f'<svg x="0" y="{top:g}" width="{width:g}" height="{height:g}" '
        parts.append(drawing.svg.replace("<svg ", place, 1))
        top += height
        parts += _key(drawing, top=top)
        top += KEY_LINE_PX * -(-len(drawing.key) // KEY_COLUMNS) + GAP_PX
        widest = max(widest, width)
    height = max(0.0, top)
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {widest:g} {height:g}">'
        f'<rect width="{widest:g}" height="{height:g}" fill="#fff"/>'
        + "".join(parts)
        + "</svg>"
    )


def _line(text: str, *, x: float, top: float, bold: bool = False) -> str:
    weight = ' font-weight="bold"' if bold else ""
    return (
        f'<text x="{x:g}" y="{top + KEY_LINE_PX:g}" font-size="16" '
        f'font-family="sans-serif"{weight}>{escape(text)}</text>'
    )


def _key(drawing: Drawing, *, top: float) -> list[str]:
    """What each letter stands for, in columns: small blanks carry the letter alone."""
    lines = []
    for at, (letter, name, size) in enumerate(drawing.key):
        row, column = divmod(at, KEY_COLUMNS)
        x, y = KEY_LEFT_PX + KEY_WIDTH_PX * column, top + KEY_LINE_PX * (row + 0.7)
        lines.append(
            f'<text x="{x:g}" y="{y:g}" font-size="14" font-family="sans-serif">'
            f"{escape(f'{letter} – {name}, {size}')}</text>"
        )
    return lines


def _view_box(svg: str) -> str:
    return svg.split('viewBox="', 1)[1].split('"', 1)[0]


def _panel_to_json(panel: PanelToCut) -> Json:
    return {
        "id": panel.id,
        "panel": panel.panel,
        "name": panel.name,
        "group": panel.group,
        "by_hand": panel.by_hand,
        "length_mm": panel.blank.length_mm.to_json(),
        "width_mm": panel.blank.width_mm.to_json(),
        "basis": say_to_json(panel.blank.basis),
    }


def _panel(row: Mapping[str, Any]) -> PanelToCut:
    return PanelToCut(
        id=row["id"],
        panel=row["panel"],
        name=row["name"],
        group=row["group"],
        by_hand=row["by_hand"],
        blank=PanelBlank(
            panel=row["panel"],
            length_mm=Figure.from_json(row["length_mm"]),
            width_mm=Figure.from_json(row["width_mm"]),
            basis=say_from_json(row["basis"]),
        ),
    )


def _plan_to_json(plan: PullPlan) -> Json:
    unplaced = [[name, say_to_json(reason)] for name, reason in plan.unplaced]
    rows = {
        name: [list(row) for row in getattr(plan, name)]
        for name in ("placements", "pulls", "new_offcuts", "cuts", "shares")
    }
    return {
        **rows,
        "unplaced": unplaced,
        "used_offcuts": list(plan.used_offcuts),
        "bound_mm": plan.bound_mm,
        "proven": plan.proven,
        "knife_best": plan.knife_best,
        "tries_used": plan.tries_used,
        "cut_short": plan.cut_short,
        "engine": plan.engine,
        "engine_version": plan.engine_version,
        "input_sha256": plan.input_sha256,
    }


def _plan(stored: Mapping[str, Any]) -> PullPlan:
    return PullPlan(
        placements=tuple(row_as(Placement, row) for row in stored["placements"]),
        pulls=tuple(row_as(Pull, row) for row in stored["pulls"]),
        used_offcuts=tuple(stored["used_offcuts"]),
        new_offcuts=tuple(row_as(NewOffcut, row) for row in stored["new_offcuts"]),
        unplaced=tuple(
            Unplaced(name, say_from_json(reason)) for name, reason in stored["unplaced"]
        ),
        bound_mm=stored["bound_mm"],
        proven=stored["proven"],
        knife_best=stored["knife_best"],
        tries_used=stored["tries_used"],
        cut_short=stored["cut_short"],
        engine=stored["engine"],
        engine_version=stored["engine_version"],
        input_sha256=stored["input_sha256"],
        cuts=tuple(row_as(Cut, row) for row in stored["cuts"]),
        shares=tuple(row_as(Share, row) for row in stored["shares"]),
    )


def _text(amount: Decimal | None) -> str | None:
    return None if amount is None else str(amount)


def _decimal(text: str | None) -> Decimal | None:
    return None if text is None else Decimal(text)
