"""The cut list as a drawing to scale: SVG for screen and paper (pure).

The pull lies with its fresh end on the left. Colour comes from `currentColor` and
class names, never from a style attribute, so a strict content policy and a dark
screen both work. Class names: cutlist-blank, -keep, -cut, -sheet, -text, -rule.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from html import escape

from jobs.nesting.pen import (
    MARGIN_BOTTOM,
    MARGIN_LEFT,
    MARGIN_RIGHT,
    MARGIN_TOP,
    PAGE,
    RADIUS,
    SMALL,
    TEXT_WIDTH,
    Pen,
    write,
)
from jobs.nesting.problem import Blank, Cut, Offcut, PullPlan, Roll
from jobs.nesting.rings import Segment, draw_cuts
from jobs.nesting.rows import split_rows
from shopapp.say import Say, say
from shopapp.units import System, shown


@dataclass(frozen=True, kw_only=True)
class Drawing:
    """One sheet drawn: a pull or an off-cut.

    svg   the whole sheet, for the screen and for export
    rows  the same row by row, so that paper may break between them
    key   (letter, name, size) of each blank
    """

    source_id: str
    title: str
    svg: str
    rows: tuple[str, ...]
    key: tuple[tuple[str, str, str], ...]


@dataclass(frozen=True, kw_only=True)
class Item:
    """A rectangle on the sheet: x across the roll, y along it, mm."""

    letter: str
    name: str
    x: int
    y: int
    w: int
    h: int
    turned: bool = False
    keep: bool = False


@dataclass(frozen=True, kw_only=True)
class Sheet:
    """One source with everything that is drawn on it."""

    source_id: str
    title: str
    width: int
    length: int
    items: tuple[Item, ...]
    cuts: tuple[Cut, ...]
    is_offcut: bool = False


def draw_plan(
    plan: PullPlan,
    *,
    blanks: Sequence[Blank],
    rolls: Sequence[Roll],
    offcuts: Sequence[Offcut],
    names: Mapping[str, str] | None = None,
    system: System = System.METRIC,
    translate: Callable[[Say], str] = str,
) -> tuple[Drawing, ...]:
    """One drawing for each pull and each off-cut used, in the order of cutting.

    names      what a blank is called on paper, by blank id; else its id
    translate  turns a sentence into the reader's language
    """
    widths: dict[str, int] = {source.id: source.width_mm for source in rolls}
    widths |= {source.id: source.width_mm for source in offcuts}
    lengths = {offcut.id: offcut.length_mm for offcut in offcuts}
    lengths |= {pull.roll_id: pull.length_mm for pull in plan.pulls}
    titles = {
        pull.roll_id: say("Pull from roll {roll}", roll=pull.roll_id)
        for pull in plan.pulls
    }
    sources = [*(pull.roll_id for pull in plan.pulls), *plan.used_offcuts]
    drawings = []
    for source_id in sources:
        title = titles.get(source_id, say("Off-cut {offcut}", offcut=source_id))
        sheet = Sheet(
            source_id=source_id,
            title=translate(title),
            width=widths[source_id],
            length=lengths[source_id],
            items=_items(plan, blanks, source_id, names or {}, translate),
            cuts=tuple(cut for cut in plan.cuts if cut.source_id == source_id),
            is_offcut=source_id not in titles,
        )
        drawings.append(_drawn(sheet, system, translate))
    return tuple(drawings)


def _items(
    plan: PullPlan,
    blanks: Sequence[Blank],
    source_id: str,
    names: Mapping[str, str],
    translate: Callable[[Say], str],
) -> tuple[Item, ...]:
    """Blanks lettered from the fresh end, then the pieces to keep."""
    sizes = {blank.id: blank for blank in blanks}
    here = [p for p in plan.placements if p.source_id == source_id]
    items = []
    for at, place in enumerate(sorted(here, key=lambda p: (p.y_mm, p.x_mm))):
        blank = sizes[place.blank_id]
        w, h = blank.width_mm, blank.length_mm
        items.append(
            Item(
                letter=letters(at),
                name=names.get(blank.id, blank.id),
                x=place.x_mm,
                y=place.y_mm,
                w=h if place.turned else w,
                h=w if place.turned else h,
                turned=place.turned,
            )
        )
    items += [
        Item(
            letter="",
            name=translate(say("keep")),
            x=kept.x_mm,
            y=kept.y_mm,
            w=kept.width_mm,
            h=kept.length_mm,
            keep=True,
        )
        for kept in plan.new_offcuts
        if kept.source_id == source_id
    ]
    return tuple(items)


def letters(at: int) -> str:
    """A to Z, then AA, AB and so on.

    >>> letters(0), letters(25), letters(26)
    ('A', 'Z', 'AA')
    """
    text = ""
    at += 1
    while at:
        at, rest = divmod(at - 1, 26)
        text = chr(65 + rest) + text
    return text


def _drawn(sheet: Sheet, system: System, translate: Callable[[Say], str]) -> Drawing:
    rows = split_rows(
        width=sheet.width,
        length=sheet.length,
        spans=[(item.y, item.y + item.h) for item in sheet.items if not item.keep],
        cuts=[cut.y1_mm for cut in sheet.cuts if _is_right_across(cut, sheet)],
    )
    longest = max(row.end - row.start for row in rows)
    usable = PAGE - MARGIN_LEFT - MARGIN_RIGHT
    # A short, wide sheet would fill a page and more: keep it lower than broad.
    scale = min(usable / longest, 0.62 * PAGE / sheet.width)
    row_height = MARGIN_TOP + sheet.width * scale + MARGIN_BOTTOM
    # An off-cut is shown beside another: no empty page to its right, nor a tower.
    ends = MARGIN_LEFT + longest * scale + MARGIN_RIGHT
    page = min(PAGE, max(ends, 0.8 * row_height)) if sheet.is_offcut else PAGE
    title = f"{sheet.title}, {_size(sheet.width, sheet.length, system)}"
    alone = []
    for row in rows:
        pen = Pen(scale=scale, row=row, top=MARGIN_TOP)
        _draw_row(pen, sheet, system, translate)
        alone.append("".join(pen.parts))
    whole = "".join(
        f'<g transform="translate(0 {at * row_height:.1f})">{part}</g>'
        for at, part in enumerate(alone)
    )
    return Drawing(
        source_id=sheet.source_id,
        title=title,
        svg=_svg(title, page, row_height * len(rows), whole),
        rows=tuple(
            _svg(f"{title} ({at}/{len(rows)})", page, row_height, part)
            for at, part in enumerate(alone, 1)
        ),
        key=tuple(
            (item.letter, item.name, _size(item.w, item.h, system))
            for item in sheet.items
            if not item.keep
        ),
    )


def _svg(title: str, width: float, height: float, parts: str) -> str:
    return (
        '<svg xmlns="http://www.w3.org/2000/svg" class="cutlist" role="img" '
        f'viewBox="0 0 {width:.0f} {height:.0f}" font-family="sans-serif">'
        f"<title>{escape(title)}</title>{parts}</svg>"
    )


def _draw_row(
    pen: Pen, sheet: Sheet, system: System, translate: Callable[[Say], str]
) -> None:
    row = pen.row
    left, right = pen.px(row.start), pen.px(row.end)
    if row.start == 0:
        fresh, half = translate(say("fresh end")), sheet.width * pen.scale / 2
        pen.text(left - 12, pen.py(0) + half, fresh, size=SMALL, upright=False)
    _draw_sheet(pen, sheet)
    shown_items = [i for i in sheet.items if i.y < row.end and i.y + i.h > row.start]
    for item in shown_items:
        _draw_item(pen, item, system, translate, outlined=not sheet.cuts)
    draw_cuts(
        pen, _segments(pen, sheet), inside=(left, pen.py(0), right, pen.py(sheet.width))
    )
    _draw_rules(pen, sheet, system)


def _draw_sheet(pen: Pen, sheet: Sheet) -> None:
    """The film's edges; where the drawing goes on in another row, dashes."""
    row = pen.row
    left, right = pen.px(row.start), pen.px(row.end)
    top, base = pen.py(0), pen.py(sheet.width)
    ends = {0, sheet.length}
    ends |= {cut.y1_mm for cut in sheet.cuts if _is_right_across(cut, sheet)}
    sides = ((row.start, left), (row.end, right))
    lines = [(left, top, right, top), (left, base, right, base)]
    lines += [(x, top, x, base) for end, x in sides if end in ends]
    pen.path(lines, "sheet", 'stroke-width="1.5"')
    for end, x in sides:
        if end not in ends:
            pen.line((x, top, x, base), "sheet", 1, ' stroke-dasharray="3 8"')


def _draw_item(
    pen: Pen,
    item: Item,
    system: System,
    translate: Callable[[Say], str],
    *,
    outlined: bool,
) -> None:
    """A blank or a piece to keep; cuts draw the edges of blanks where there are any."""
    row = pen.row
    x1 = pen.px(max(item.y, row.start))
    x2 = pen.px(min(item.y + item.h, row.end))
    y1, y2 = pen.py(item.x), pen.py(item.x + item.w)
    begun, goes_on = item.y < row.start, item.y + item.h > row.end
    # Set in a little, so that its dashes do not run through numbers of cuts.
    inner = (x1 + 5, y1 + 5, x2 - 5, y2 - 5)
    if item.keep:
        look = 'fill="none" stroke="currentColor" stroke-width="1" '
        pen.rect(inner, "keep", look + 'stroke-dasharray="9 6"')
    else:
        look = 'fill="currentColor" fill-opacity="0.09"'
        whole = outlined and not begun and not goes_on
        if whole:
            look += ' stroke="currentColor" stroke-width="1.5"'
        kind = "blank cutlist-broken" if begun or goes_on else "blank"
        pen.rect((x1, y1, x2, y2), kind, look)
        if outlined and not whole:
            edges = [(x1, y1, x2, y1), (x1, y2, x2, y2)]
            edges += [] if begun else [(x1, y1, x1, y2)]
            edges += [] if goes_on else [(x2, y1, x2, y2)]
            pen.path(edges, "edge", 'stroke-width="1.5"')
    name = f"{item.letter} {item.name}".strip()
    name = f"{'… ' if begun else ''}{name}{' …' if goes_on else ''}"
    size = f"{_number(item.w, system)} × {_number(item.h, system)}"
    turned = translate(say("{size}, turned", size=size)) if item.turned else size
    box = inner if item.keep else (x1, y1, x2, y2)
    write(pen, box, name=name, size=size, turned=turned, letter=item.letter)


def _segments(pen: Pen, sheet: Sheet) -> list[Segment]:
    """The cuts as far as they lie in this row, in units of the page."""
    row = pen.row
    found = []
    for cut in sheet.cuts:
        near, far = max(cut.y1_mm, row.start), min(cut.y2_mm, row.end)
        right_across = _is_right_across(cut, sheet)
        if cut.way == "along" and near >= far:
            continue
        if cut.way == "across" and not row.start < cut.y1_mm <= row.end:
            continue
        top = pen.top - MARGIN_TOP / 2 - RADIUS if right_across else pen.py(cut.x1_mm)
        found.append(
            Segment(
                number=cut.number,
                x1=pen.px(near),
                y1=top,
                x2=pen.px(far),
                y2=pen.py(cut.x2_mm),
                fixed=right_across,
            )
        )
    return found


def _is_right_across(cut: Cut, sheet: Sheet) -> bool:
    return cut.way == "across" and (cut.x1_mm, cut.x2_mm) == (0, sheet.width)


def _draw_rules(pen: Pen, sheet: Sheet, system: System) -> None:
    """Distances from the fresh end below, the width on the left."""
    row = pen.row
    base = pen.py(sheet.width)
    marks = {row.start, row.end}
    marks |= {cut.y1_mm for cut in sheet.cuts if _is_right_across(cut, sheet)}
    y = base + 16
    pen.line((pen.px(row.start), y, pen.px(row.end), y), "rule", 1)
    _write_marks(pen, sorted(m for m in marks if row.start <= m <= row.end), y, system)
    x = MARGIN_LEFT - 26
    pen.line((x, pen.py(0), x, base), "rule", 1)
    for edge in (pen.py(0), base):
        pen.line((x - 6, edge, x + 6, edge), "rule", 1)
    unit = shown(0, "mm", system=system).symbol
    text = f"{_number(sheet.width, system)} {unit}"
    pen.text(x - 19, (pen.py(0) + base) / 2, text, size=SMALL, upright=False)


def _write_marks(pen: Pen, marks: Sequence[int], y: float, system: System) -> None:
    """A tick and a distance at each mark; close ones make room for each other."""
    spots = [(pen.px(mark), _number(mark, system)) for mark in marks]
    free_from, level = 0.0, 0
    for at, (x, text) in enumerate(spots):
        half = len(text) * SMALL * TEXT_WIDTH / 2
        level = 1 - level if x - half < free_from else 0
        pen.line((x, y - 6, x, y + 6 + 16 * level), "rule", 1)
        middle = x
        if level == 0 and at + 1 < len(spots) and spots[at + 1][0] < x + half:
            # The next tick would run through this number: it moves aside.
            middle = max(free_from + half, spots[at + 1][0] - half - 3)
        pen.text(middle, y + 17 + 17 * level, text, size=SMALL)
        free_from = middle + half + 6


def _number(value_mm: int, system: System) -> str:
    return shown(value_mm, "mm", system=system).number


def _size(width_mm: int, length_mm: int, system: System) -> str:
    """Across by along, as it lies."""
    return f"{_number(width_mm, system)} × {shown(length_mm, 'mm', system=system)}"
