"""Our own outline of a car, unfolded: each panel as paths (pure).

Seen from above, front to the left; the car's left side is folded out below, its right
side above. Only the left half is written down: the right one is its mirror image.
Units are those of the drawing, about 1 cm of a mid-size car.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache

from jobs.coverage.car_bodies import Shape

SIDE_TOP = 100.0
"""Where the folded-out side begins, below the middle line."""

LENGTH, WHEEL, ARCH, SILL, ROCKER = 480.0, 32.0, 39.0, 22.0, 36.0
NOSE, SHOULDER = 70.0, 82.0


Paths = Mapping[str, tuple[str, ...]]


@cache
def plan_middle(s: Shape) -> Paths:
    """Panels on the middle line, seen from above."""
    return {
        "front_bumper": (
            "M16,-70 C-2,-48 -6,-24 -6,0 C-6,24 -2,48 16,70 L34,66 "
            "C24,44 20,22 20,0 C20,-22 24,-44 34,-66 Z",
        ),
        "hood": (
            f"M38,-50 C30,-30 28,-16 28,0 C28,16 30,30 38,50 C80,60 {s.cowl - 40},66 "
            f"{s.cowl},66 Q{s.cowl - 16},0 {s.cowl},-66 C{s.cowl - 40},-66 80,-60 "
            "38,-50 Z",
        ),
        "partial_hood": (
            "M38,-50 C30,-30 28,-16 28,0 C28,16 30,30 38,50 L84,59 Q74,0 84,-59 Z",
        ),
        "roof": (
            f"M{s.screen + 2},-54 Q{s.screen - 8},0 {s.screen + 2},54 "
            f"Q{(s.screen + s.roof) / 2},60 {s.roof},53 Q{s.roof + 7},0 {s.roof},-53 "
            f"Q{(s.screen + s.roof) / 2},-60 {s.screen + 2},-54 Z",
        ),
        "roof_edge": (
            f"M{s.screen + 2},-54 Q{s.screen - 8},0 {s.screen + 2},54 "
            f"L{s.screen + 15},55.5 Q{s.screen + 5},0 {s.screen + 15},-55.5 Z",
        ),
        "boot_lid": (_lid(s),),
        "rear_bumper": (
            f"M{s.lid + 2},-66 Q{s.lid + 12},0 {s.lid + 2},66 L{s.tail - 12},70 "
            f"C{s.tail + 2},48 {s.tail + 4},24 {s.tail + 4},0 "
            f"C{s.tail + 4},-24 {s.tail + 2},-48 {s.tail - 12},-70 Z",
        ),
        "loading_edge": (
            f"M{s.lid + 4},-52 Q{s.lid + 11},0 {s.lid + 4},52 L{s.lid + 13},53 "
            f"Q{s.lid + 20},0 {s.lid + 13},-53 Z",
        ),
    }


def _lid(s: Shape) -> str:
    start = s.bed[1] + 4 if s.bed else s.glass
    half = 66 if s.bed else 56
    return (
        f"M{start},-{half} Q{start + 8},0 {start},{half} L{s.lid - 2},60 "
        f"Q{s.lid + 8},0 {s.lid - 2},-60 Z"
    )


@cache
def plan_left(s: Shape) -> Paths:
    """Panels of the left half, seen from above."""
    return {
        "headlight": (
            "M37,53 L35,66 L24,71.5 C40,77 52,79 66,79.7 L66,70 C58,64 48,58 37,53 Z",
        ),
        "front_fender": (
            f"M46,57 C84,64 {s.cowl - 40},69 {s.cowl},69 L{s.doors[0]},{SHOULDER + 2} "
            f"L68,79.9 L68,70 C60,64 52,60 46,57 Z",
        ),
        "partial_fender": (
            "M46,57 L84,63.5 L88,81 L68,79.9 L68,70 C60,64 52,60 46,57 Z",
        ),
        "a_pillar": (
            f"M{s.cowl + 2},67 L{s.screen + 2},56.5 L{s.screen},52.5 "
            f"L{s.cowl + 4},62 Z",
        ),
        "mirror": (
            f"M{s.cowl + 20},81 L{s.cowl + 14},94 Q{s.cowl + 15},99 {s.cowl + 22},98 "
            f"L{s.cowl + 29},95 Q{s.cowl + 32},90 {s.cowl + 29},81 Z",
        ),
        "quarter": (_plan_quarter(s),),
        "tail_light": (
            f"M{s.lid - 22},62 L{s.lid - 1},63 L{s.lid + 1},68 L{s.tail - 14},73 "
            f"Q{s.lid - 8},78 {s.lid - 22},77 Z",
        ),
    }


def _plan_quarter(s: Shape) -> str:
    if s.bed:
        return (
            f"M{s.bed[0]},70 L{s.bed[1]},70 L{s.lid - 26},77 "
            f"L{s.bed[0]},{SHOULDER + 1} Z"
        )
    return (
        f"M{s.roof - 40},{SHOULDER + 1} L{s.roof - 13},72 L{s.roof + 1},58 "
        f"L{s.roof + 6},56 L{s.glass - 2},59 L{s.lid - 26},62 L{s.lid - 26},77 "
        f"Q{s.lid - 60},81 {s.roof - 40},{SHOULDER + 1} Z"
    )


@cache
def side(s: Shape) -> Paths:
    """Panels of the left side, folded out."""
    d1, d2, d3 = s.doors
    found: dict[str, tuple[str, ...]] = {
        "front_bumper": (_side_front_bumper(s),),
        "headlight": (_at(s, (8, 60), (14, 72), (48, 77), (52, 66), (30, 59)),),
        "front_fender": (_fender(s),),
        "partial_fender": (_partial_fender(s),),
        "a_pillar": (_a_pillar(s),),
        "front_door": (_door(s, d1, d2),),
        "door_edge_front": (_strip(s, d2),),
        "handle_cup_front": (_cup(s, d2),),
        "rocker": (_rocker(s),),
        "rear_arch": (_arch_band(s),),
        "quarter": (_quarter(s),),
        "tail_light": (_tail_light(s),),
        "rear_bumper": (_side_rear_bumper(s),),
    }
    if d3 > d2:
        found |= {
            "b_pillar": (_b_pillar(s),),
            "rear_door": (_door(s, d2 + 1.5, d3),),
            "door_edge_rear": (_strip(s, d3),),
            "handle_cup_rear": (_cup(s, d3),),
        }
    return found


def _y(s: Shape, height: float) -> float:
    return round(SIDE_TOP + s.roof_h + 4 - height, 2)


def _at(s: Shape, *points: tuple[float, float]) -> str:
    """A closed path through (x, height) points."""
    return "M" + " L".join(f"{x:g},{_y(s, h):g}" for x, h in points) + " Z"


def belt_h(s: Shape, x: float) -> float:
    """Height of the window line: a gentle rise from cowl to tail."""
    share = (x - s.cowl) / (LENGTH - s.cowl)
    return s.cowl_h - 3 + (s.deck_h - s.cowl_h + 3) * max(0.0, min(1.0, share))


def _arch(s: Shape, wheel: float, *, radius: float, leftwards: bool) -> str:
    """The arc over a wheel, from sill height to sill height."""
    half = (radius**2 - (WHEEL - SILL) ** 2) ** 0.5
    end = wheel - half if leftwards else wheel + half
    return f"A{radius},{radius} 0 1 {0 if leftwards else 1} {end:g},{_y(s, SILL):g}"


def _arch_half(radius: float) -> float:
    return float((radius**2 - (WHEEL - SILL) ** 2) ** 0.5)


def _side_front_bumper(s: Shape) -> str:
    end = s.wheels[0] - _arch_half(ARCH)
    return (
        f"M6,{_y(s, 58)} Q-2,{_y(s, 44)} 4,{_y(s, 26)} L14,{_y(s, 20)} "
        f"L{end:g},{_y(s, SILL)} A{ARCH},{ARCH} 0 0 1 {s.wheels[0] - 31},{_y(s, 56)} "
        f"L30,{_y(s, 57)} Z"
    )


def _fender(s: Shape) -> str:
    d1, wheel = s.doors[0], s.wheels[0]
    return (
        f"M54,{_y(s, 66)} L50,{_y(s, 78)} Q100,{_y(s, s.cowl_h - 1)} "
        f"{s.cowl},{_y(s, s.cowl_h)} L{max(d1, s.cowl)},{_y(s, belt_h(s, d1))} "
        f"L{d1},{_y(s, ROCKER)} L{d1 - 2},{_y(s, SILL)} "
        f"L{wheel + _arch_half(ARCH):g},{_y(s, SILL)} "
        f"A{ARCH},{ARCH} 0 0 0 {wheel - 31},{_y(s, 58)} L34,{_y(s, 59)} Z"
    )


def _partial_fender(s: Shape) -> str:
    wheel = s.wheels[0]
    return (
        f"M54,{_y(s, 66)} L50,{_y(s, 78)} Q64,{_y(s, 81)} {wheel - 4},{_y(s, 83)} "
        f"L{wheel - 4},{_y(s, WHEEL + ARCH)} "
        f"A{ARCH},{ARCH} 0 0 0 {wheel - 31},{_y(s, 58)} L34,{_y(s, 59)} Z"
    )


def _a_pillar(s: Shape) -> str:
    return _at(
        s,
        (s.cowl + 1, s.cowl_h + 1),
        (s.screen - 4, s.roof_h - 7),
        (s.screen + 7, s.roof_h - 6),
        (s.cowl + 16, s.cowl_h),
    )


def _door(s: Shape, start: float, end: float) -> str:
    wheel = s.wheels[1]
    top = f"M{start + 1.5},{_y(s, belt_h(s, start))} L{end},{_y(s, belt_h(s, end))} "
    floor = ROCKER + 2
    # A door that reaches into the rear arch is cut along it.
    reach = (ARCH + 3) ** 2 - (floor - WHEEL) ** 2
    corner = wheel - reach**0.5
    if end <= corner:
        return f"{top}L{end},{_y(s, floor)} L{start + 1.5},{_y(s, floor)} Z"
    rise = WHEEL + ((ARCH + 3) ** 2 - (wheel - end) ** 2) ** 0.5
    return (
        f"{top}L{end},{_y(s, rise):g} A{ARCH + 3},{ARCH + 3} 0 0 0 {corner:g},"
        f"{_y(s, floor)} L{start + 1.5},{_y(s, floor)} Z"
    )


def _strip(s: Shape, end: float) -> str:
    floor = max(ROCKER + 2, _rear_floor(s, end))
    top = belt_h(s, end) - 1
    return _at(s, (end - 5, top), (end, top), (end, floor), (end - 5, floor))


def _rear_floor(s: Shape, x: float) -> float:
    reach = (ARCH + 3) ** 2 - (s.wheels[1] - x) ** 2
    return WHEEL + reach**0.5 if reach > 0 else 0.0


def _cup(s: Shape, end: float) -> str:
    x, y = end - 20, _y(s, belt_h(s, end) - 12)
    return f"M{x - 9},{y} a9,4.5 0 1 0 18,0 a9,4.5 0 1 0 -18,0 Z"


def _b_pillar(s: Shape) -> str:
    x = s.doors[1]
    low, high = belt_h(s, x) + 1, s.roof_h - 6
    return _at(s, (x - 3, low), (x - 1, high), (x + 5, high), (x + 5, low))


def _rocker(s: Shape) -> str:
    front, rear = s.wheels[0] + _arch_half(ARCH), s.wheels[1] - _arch_half(ARCH)
    d1 = s.doors[0]
    return _at(
        s,
        (max(front + 2, d1), ROCKER),
        (rear - 5, ROCKER),
        (rear - 1, SILL),
        (front + 3, SILL),
        (front + 3, SILL + 3),
        (max(front + 2, d1), SILL + 4),
    )


def _arch_band(s: Shape) -> str:
    wheel, outer = s.wheels[1], ARCH + 8
    return (
        f"M{wheel - _arch_half(ARCH):g},{_y(s, SILL)} "
        f"{_arch(s, wheel, radius=ARCH, leftwards=False)} "
        f"L{wheel + _arch_half(outer):g},{_y(s, SILL)} "
        f"{_arch(s, wheel, radius=outer, leftwards=True)} Z"
    )


def rear_glass_x(s: Shape) -> tuple[float, float]:
    """Where the last side window ends, at the roof and at the belt."""
    if s.bed:
        return s.roof - 8, s.roof - 2
    top = max(s.roof - 14, s.doors[1] + 14)
    return top, top + 0.35 * (s.glass_side - s.roof)


def _quarter(s: Shape) -> str:
    start, wheel = s.doors[2] + 1.5, s.wheels[1]
    floor = max(ROCKER + 2, _rear_floor(s, start))
    if s.bed:
        top = f"M{s.bed[0] - 6},{_y(s, s.deck_h + 1)} L474,{_y(s, s.deck_h)} "
        start = s.bed[0] - 6
    else:
        top_x, low_x = rear_glass_x(s)
        belt = belt_h(s, start)
        top = (
            f"M{start},{_y(s, belt)} L{max(low_x + 5, start)},{_y(s, belt + 1)} "
            f"L{top_x + 5},{_y(s, s.rear_h - 3)} L{s.roof + 2},{_y(s, s.rear_h - 1)} "
            f"L{s.glass_side},{_y(s, s.deck_h + 4)} L468,{_y(s, s.deck_h - 3)} "
        )
    return (
        f"{top}L470,{_y(s, s.deck_h - 12)} L448,{_y(s, s.deck_h - 14)} "
        f"L446,{_y(s, 60)} L436,{_y(s, 58)} L{wheel + 29},{_y(s, 58)} "
        f"A{ARCH},{ARCH} 0 0 0 {wheel - _arch_half(ARCH):g},{_y(s, SILL)} "
        f"L{start - 2},{_y(s, SILL + 8)} L{start},{_y(s, floor):g} Z"
    )


def _tail_light(s: Shape) -> str:
    top = s.deck_h - 14
    return _at(s, (450, top), (472, top + 1), (475, 63), (449, 61))


def _side_rear_bumper(s: Shape) -> str:
    wheel = s.wheels[1]
    return (
        f"M{wheel + 31},{_y(s, 56)} A{ARCH},{ARCH} 0 0 1 "
        f"{wheel + _arch_half(ARCH):g},{_y(s, SILL)} L466,{_y(s, 20)} "
        f"L476,{_y(s, 27)} Q482,{_y(s, 44)} 476,{_y(s, 59)} L448,{_y(s, 58)} Z"
    )


def side_trim(s: Shape) -> Paths:
    """What is not filmed but makes it a car: outline, glass, wheels."""
    d2 = s.doors[1]
    top_x, low_x = rear_glass_x(s)
    front_glass = _at(
        s,
        (s.cowl + 18, belt_h(s, s.cowl) + 4),
        (s.screen + 10, s.roof_h - 8),
        (d2 - 4, s.roof_h - 5),
        (d2 - 5, belt_h(s, d2) + 4),
    )
    start = d2 + 8
    rear_glass = _at(
        s,
        (start, belt_h(s, d2) + 4),
        (start, s.roof_h - 5),
        (top_x, s.rear_h - 4),
        (low_x, belt_h(s, low_x) + 4),
    )
    wells = tuple(
        f"M{wheel - _arch_half(ARCH):g},{_y(s, SILL)} "
        f"{_arch(s, wheel, radius=ARCH, leftwards=False)} Z"
        for wheel in s.wheels
    )
    return {
        "body": (_silhouette(s),),
        "glass": (front_glass, rear_glass),
        "wells": wells,
    }


def _silhouette(s: Shape) -> str:
    end = (
        f"L{s.glass_side},{_y(s, s.deck_h + 2)} L474,{_y(s, s.deck_h)} "
        if s.bed
        else f"L{s.glass_side},{_y(s, s.deck_h + 5)} "
        f"Q474,{_y(s, s.deck_h)} 476,{_y(s, s.deck_h - 14)} "
    )
    return (
        f"M6,{_y(s, 58)} L14,{_y(s, 73)} L50,{_y(s, 79)} "
        f"Q100,{_y(s, s.cowl_h)} {s.cowl},{_y(s, s.cowl_h + 1)} "
        f"L{s.screen - 6},{_y(s, s.roof_h - 7)} "
        f"Q{s.screen + 2},{_y(s, s.roof_h)} {s.screen + 20},{_y(s, s.roof_h + 1)} "
        f"Q{(s.screen + s.roof) / 2 + 20},{_y(s, s.roof_h + 3)} {s.roof},"
        f"{_y(s, s.rear_h + 1)} {end}"
        f"L478,{_y(s, 56)} L476,{_y(s, 26)} L466,{_y(s, 20)} L14,{_y(s, 20)} "
        f"L4,{_y(s, 26)} Z"
    )


def wheel_centres(s: Shape) -> tuple[tuple[float, float], ...]:
    """Centres of the wheels of the left side."""
    return tuple((x, _y(s, WHEEL)) for x in s.wheels)


def plan_trim(s: Shape) -> Paths:
    """Outline and glass seen from above; the load bed of a pickup."""
    body = (
        f"M16,-70 C-2,-48 -6,-24 -6,0 C-6,24 -2,48 16,70 C40,79 90,{SHOULDER} "
        f"{s.cowl},{SHOULDER + 2} L{s.glass - 20},{SHOULDER + 2} "
        f"C{s.lid - 40},{SHOULDER} {s.lid},77 {s.tail - 12},70 "
        f"C{s.tail + 2},48 {s.tail + 4},24 {s.tail + 4},0 "
        f"C{s.tail + 4},-24 {s.tail + 2},-48 {s.tail - 12},-70 "
        f"C{s.lid},-77 {s.lid - 40},-{SHOULDER} {s.glass - 20},-{SHOULDER + 2} "
        f"L{s.cowl},-{SHOULDER + 2} C90,-{SHOULDER} 40,-79 16,-70 Z"
    )
    screen = (
        f"M{s.cowl + 4},-61 Q{s.cowl - 10},0 {s.cowl + 4},61 L{s.screen - 1},51 "
        f"Q{s.screen - 10},0 {s.screen - 1},-51 Z"
    )
    rear = (
        f"M{s.roof + 3},-50 Q{s.roof + 9},0 {s.roof + 3},50 L{s.glass - 3},55 "
        f"Q{s.glass + 5},0 {s.glass - 3},-55 Z"
    )
    end = s.roof - 4
    left = (
        f"M{s.cowl + 14},71 L{s.screen + 8},59 Q{(s.screen + end) / 2},64 {end},58 "
        f"L{end - 14},71 Z"
    )
    bed: tuple[str, ...] = ()
    if s.bed:
        a, b = s.bed
        ribs = (f"M{a + 6},{y} L{b - 6},{y}" for y in range(-52, 53, 13))
        bed = (f"M{a},-67 L{b},-67 L{b},67 L{a},67 Z", *ribs)
    return {"body": (body,), "glass": (screen, rear), "glass_left": (left,), "bed": bed}
