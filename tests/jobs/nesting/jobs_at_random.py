"""Random small jobs for the property tests, and an optimum by brute force."""

from hypothesis import strategies as st

from jobs.nesting import Blank, Budget, Offcut, Roll, Rules

QUICK = Budget(tries=0)
SEARCHED = Budget(tries=60, seed=3)


def blank(name, width_mm, length_mm, **more):
    return Blank(id=name, width_mm=width_mm, length_mm=length_mm, **more)


def roll(name="R1", width_mm=1524, remaining_mm=15_000, **more):
    return Roll(id=name, width_mm=width_mm, remaining_mm=remaining_mm, **more)


@st.composite
def blank_lists(draw, most=9, side=40):
    sides = st.integers(1, side)
    count = draw(st.integers(1, most))
    return [
        Blank(
            id=f"b{number}",
            width_mm=draw(sides),
            length_mm=draw(sides),
            turn=draw(st.sampled_from(["none", "quarter"])),
            group=draw(st.sampled_from(["car A", "car B"])),
            film_code=draw(st.sampled_from(["F", "F", "G"])),
        )
        for number in range(count)
    ]


@st.composite
def whole_jobs(draw):
    films = st.sampled_from(["F", "F", "G"])
    rolls = [
        Roll(
            id=f"r{number}",
            width_mm=draw(st.sampled_from([30, 40, 50])),
            remaining_mm=draw(st.sampled_from([40, 90, 400])),
            film_code=draw(films),
        )
        for number in range(draw(st.integers(0, 3)))
    ]
    offcuts = [
        Offcut(
            id=f"o{number}",
            width_mm=draw(st.integers(5, 50)),
            length_mm=draw(st.integers(5, 50)),
            film_code=draw(films),
            turnable=draw(st.booleans()),
        )
        for number in range(draw(st.integers(0, 2)))
    ]
    rules = Rules(
        gap_mm=draw(st.integers(0, 3)),
        edge_mm=draw(st.integers(0, 2)),
        lead_mm=draw(st.integers(0, 5)),
        cut=draw(st.sampled_from(["free", "guillotine"])),
        min_offcut_mm=(8, 8),
        min_saving_mm=draw(st.sampled_from([0, 5])),
    )
    return {
        "blanks": draw(blank_lists()),
        "rolls": rolls,
        "offcuts": offcuts,
        "rules": rules,
    }


def shortest_by_brute_force(blanks, width):
    """Length of the shortest strip, by trying every place for every blank."""
    area = sum(b.width_mm * b.length_mm for b in blanks)
    length = -(-area // width)
    while not _fits([0] * width, tuple(blanks), length, width * length - area):
        length += 1
    return length


def _fits(levels, blanks, length, spare):
    """Fill the lowest, leftmost gap with a blank, or give up some of its area."""
    if not blanks:
        return True
    low = min(levels)
    at = levels.index(low)
    if low >= length:
        return False
    run = 0
    while at + run < len(levels) and levels[at + run] == low:
        run += 1
    for i, one in enumerate(blanks):
        ways = {(one.width_mm, one.length_mm)}
        if one.turn == "quarter":
            ways.add((one.length_mm, one.width_mm))
        for w, h in ways:
            if w <= run and low + h <= length:
                after = [*levels[:at], *[low + h] * w, *levels[at + w :]]
                if _fits(after, blanks[:i] + blanks[i + 1 :], length, spare):
                    return True
    after = levels.copy()
    after[at] += 1
    return spare > 0 and _fits(after, blanks, length, spare - 1)
