"""The knife builder: bands across the roll, each cut side to side (pure, integers).

The first blank of a band sets its length, alone or with another one behind it. The
rest of the band is filled piece by piece: a blank goes into a corner of a free piece
and one straight cut splits what remains into two free pieces. No objects in here, as
in `skyline`.
"""

from __future__ import annotations

Placed = list[tuple[int, int, int]]


def fill_bands(
    codes: list[int],
    wide: list[int],
    long: list[int],
    width: int,
    height: int,
    max_waste: int,
    splits: list[int],
    first_fit: bool = False,
) -> tuple[int, int, Placed]:
    """Place codes in order of priority: (waste, top, placed), as `skyline.fill`.

    splits     by blank: 0 the cut that leaves the larger piece, 1 along, 2 across;
               4 more if a band that begins with it reaches over the next blank that
               fits behind it, 8 over the next but one, 12 over the third
    first_fit  take the first code that fits instead of the best fitting one
    """
    used = [False] * (len(wide) >> 1)
    left = len({code >> 1 for code in codes})
    placed: Placed = []
    waste = base = 0
    while left and base < height:
        room = height - base
        codes = [code for code in codes if not used[code >> 1]]
        first = -1
        for code in codes:
            if wide[code] <= width and long[code] <= room:
                first = code
                break
        if first < 0:
            break
        band = long[first]
        reach = splits[first >> 1] >> 2
        if reach:
            for code in codes:
                fits = wide[code] <= width and band + long[code] <= room
                if fits and code >> 1 != first >> 1:
                    reach -= 1
                    if not reach:
                        band += long[code]
                        break
        thin = min([wide[code] for code in codes])
        low = min([long[code] for code in codes])
        pieces = [(0, base, width, band)]
        pick = first
        while pieces and left:
            x, y, w, h = pieces.pop()
            best = 0
            if pick < 0 and w >= thin and h >= low:
                for code in codes:
                    cw = wide[code]
                    cl = long[code]
                    if cw <= w and cl <= h and not used[code >> 1]:
                        score = 1 + (cw == w) + (cl == h)
                        if score > best:
                            best = score
                            pick = code
                            if score == 3 or first_fit:
                                break
            if pick < 0:
                waste += w * h
                if waste > max_waste:
                    return waste, 0, placed
                continue
            used[pick >> 1] = True
            left -= 1
            placed.append((pick, x, y))
            cw = wide[pick]
            cl = long[pick]
            split = splits[pick >> 1] & 3
            if pick == first and cl < band:
                split = 1
            if split == 1 or (split == 0 and w - cw >= h - cl):
                right = (x + cw, y, w - cw, h)
                above = (x, y + cl, cw, h - cl)
            else:
                right = (x + cw, y, w - cw, cl)
                above = (x, y + cl, w, h - cl)
            if right[2]:
                pieces.append(right)
            if above[3]:
                pieces.append(above)
            pick = -1
        base += band
    if not left:
        return 0, base, placed
    area = sum(wide[code] * long[code] for code, _, _ in placed)
    return width * height - area, base, placed
