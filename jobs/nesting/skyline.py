"""The free builder: fill a closed rectangle in a given order (pure, integers only).

A blank has two codes: 2 * i lying as it is, 2 * i + 1 turned. The skyline is two
lists, left ends and levels. No objects in here, so that it can be compiled later;
one long function for the same reason, and because calls would double its time.
Idea: best fit on the lowest segment (Burke, Kendall, Whitwell 2004, Operations
Research 52:655-671; cited from memory).
"""

from __future__ import annotations

Placed = list[tuple[int, int, int]]
"""(code, x, y) of each blank placed."""


def fill(
    codes: list[int],
    wide: list[int],
    long: list[int],
    width: int,
    height: int,
    max_waste: int,
    first_fit: bool = False,
) -> tuple[int, int, Placed]:
    """Place codes in order of priority: (waste, top, placed).

    wide, long  sizes by code
    max_waste   give up as soon as more area than this is lost; waste is then
                above max_waste and `placed` is of no use
    first_fit   take the first code that fits instead of the best fitting one

    When every blank is placed, waste is 0 and top the length used.
    """
    used = [False] * (len(wide) >> 1)
    rest = codes[:]
    offered = set(codes)
    twins = {code for code in codes if code ^ 1 in offered}
    left = len(codes) - len(twins) // 2
    by_wide: dict[int, list[int]] = {}
    by_long: dict[int, list[int]] = {}
    if not first_fit:
        for code in codes:
            by_wide.setdefault(wide[code], []).append(code)
            by_long.setdefault(long[code], []).append(code)
    none: list[int] = []
    narrow = sorted(codes, key=wide.__getitem__)
    thin = 0
    xs = [0, width]
    ys = [0]
    placed: Placed = []
    waste = top = 0
    while left:
        y = min(ys)
        if y >= height:
            break
        k = ys.index(y)
        x = xs[k]
        gap = xs[k + 1] - x
        wall_l = ys[k - 1] if k else height
        wall_r = ys[k + 1] if k + 1 < len(ys) else height
        room = height - y
        while used[narrow[thin] >> 1]:
            thin += 1
        pick = -1
        if gap >= wide[narrow[thin]]:
            rise_l = wall_l - y
            rise_r = wall_r - y
            for code in by_wide.get(gap, none):
                if not used[code >> 1]:
                    rise = long[code]
                    if rise in (rise_l, rise_r):
                        pick = code
                        break
                    if pick < 0 and rise <= room:
                        pick = code
            if pick < 0 and not first_fit:
                for code in by_long.get(rise_l, none):
                    if wide[code] <= gap and not used[code >> 1]:
                        pick = code
                        break
                else:
                    for code in by_long.get(rise_r, none):
                        if wide[code] <= gap and not used[code >> 1]:
                            pick = code
                            break
            if pick < 0:
                for code in rest:
                    if wide[code] <= gap and long[code] <= room:
                        pick = code
                        break
        if pick < 0:
            low = wall_l if wall_l < wall_r else wall_r
            waste += gap * (low - y)
            if waste > max_waste:
                return waste, 0, placed
            ys[k] = low
        else:
            used[pick >> 1] = True
            rest.remove(pick)
            if pick ^ 1 in twins:
                rest.remove(pick ^ 1)
            left -= 1
            w = wide[pick]
            level = y + long[pick]
            if level > top:
                top = level
            if w == gap:
                placed.append((pick, x, y))
                ys[k] = level
            elif level == wall_l or (wall_l >= wall_r and level != wall_r):
                placed.append((pick, x, y))
                xs.insert(k + 1, x + w)
                ys.insert(k, level)
            else:
                placed.append((pick, x + gap - w, y))
                xs.insert(k + 1, x + gap - w)
                ys.insert(k + 1, level)
                k += 1
        if k + 1 < len(ys) and ys[k + 1] == ys[k]:
            del ys[k + 1], xs[k + 1]
        if k and ys[k - 1] == ys[k]:
            del ys[k], xs[k]
    if not left:
        return 0, top, placed
    area = sum(wide[code] * long[code] for code, _, _ in placed)
    return width * height - area, top, placed
