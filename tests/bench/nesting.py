"""How short are the pulls? Run by hand: `python -m tests.bench.nesting`.

Published strip instances of `tests/cases/rectangles.json` (their sources stand in the
file), fixed orientation, no gap; rectpack beside them on the same instances; then
shop-like jobs of our own random numbers against the proven bound.

    --file F --seconds S   the same columns for any file in that format, see
                           `tests/bench/instances.py`
    --seeds N              seeds for each instance (default 1)

Exits with 1 under the floor: mean excess at most 0.9 % in 1 s and 0.5 % in 5 s, and
shop-like jobs at most 3.5 % over the bound in 3 s.
"""

from __future__ import annotations

import argparse
import os
import platform
import random
import statistics
import sys
import time
from pathlib import Path

import rectpack

from jobs.nesting import Blank, Budget, PullPlan, Roll, Rules, plan_pull
from tests.bench.arguments import above_zero
from tests.bench.instances import Instance, NotAnInstance, read_instances

CASES = Path(__file__).parent.parent / "cases" / "rectangles.json"
FLOORS = {1.0: 0.9, 5.0: 0.5}
SHOP_FLOOR, SHOP_SECONDS = 3.5, 3.0
NO_END = 10**9
RECTPACK_SECONDS = 30.0
"""It is stopped after that: on large instances it is squeezed for minutes."""
FREE = (rectpack.MaxRectsBssf, rectpack.MaxRectsBl, rectpack.SkylineMwfl)
KNIFE = (rectpack.GuillotineBssfSas, rectpack.GuillotineBafLas)
SORTINGS = (rectpack.SORT_AREA, rectpack.SORT_LSIDE, rectpack.SORT_SSIDE)


def nested(instance: Instance, *, seconds, cut="free", seed=1) -> PullPlan:
    blanks = [
        Blank(id=f"{number:04}", width_mm=width, length_mm=length, turn=instance.turn)
        for number, (width, length) in enumerate(instance.items)
    ]
    long_enough = sum(max(item) for item in instance.items)
    roll = Roll(id="strip", width_mm=instance.strip_width, remaining_mm=long_enough)
    budget = Budget(tries=NO_END if seconds else 0, seed=seed, wall_s=seconds or 60)
    return plan_pull(
        blanks=blanks, rolls=[roll], offcuts=[], rules=Rules(cut=cut), budget=budget
    )


def packed_by_rectpack(instance: Instance, algorithms, *, longest) -> int:
    """Best over packers and sortings; the bin is squeezed until it fails."""
    best = longest * 2
    end = time.monotonic() + RECTPACK_SECONDS
    for algorithm in algorithms:
        for sorting in SORTINGS:
            length = best
            while time.monotonic() < end:
                packer = rectpack.newPacker(
                    rotation=instance.turn != "none",
                    pack_algo=algorithm,
                    sort_algo=sorting,
                )
                for width, long in instance.items:
                    packer.add_rect(width, long)
                packer.add_bin(instance.strip_width, length)
                packer.pack()
                if len(packer.rect_list()) < len(instance.items):
                    break
                best = max(y + h for _, _, y, _, h, _ in packer.rect_list())
                length = best - 1
    return best


def excess(length: int, known: int) -> float:
    return 100 * (length / known - 1)


def bench(
    instances: list[Instance], *, seconds, seeds
) -> tuple[dict[float, float], bool]:
    """Print the table; mean excess by seconds, and whether every bound held."""
    columns = [f"{s:g} s" for s in seconds] + ["knife", "rectpack", "its knife"]
    print(
        f"{'instance':10}{'n':>5}{'known':>7}{'bound':>7}"
        + "".join(f"{column:>17}" for column in columns)
    )
    found: dict[str, list[float]] = {column: [] for column in columns}
    sound = True
    for instance in instances:
        plans = [
            [nested(instance, seconds=s, seed=seed) for seed in range(1, seeds + 1)]
            for s in seconds
        ]
        bound = max(plan.bound_mm for some in plans for plan in some)
        # Where nobody knows a length, what is proven stands in its place.
        known = instance.known or bound
        lengths = [[plan.length_mm for plan in some] for some in plans]
        lengths += [[length] for length in beside(instance, seconds=min(seconds))]
        for column, some in zip(columns, lengths, strict=True):
            found[column].append(statistics.mean(excess(x, known) for x in some))
        sound &= bound <= min(known, *(x for some in lengths for x in some))
        cells = [statistics.median(some) for some in lengths]
        print(
            f"{instance.id:10}{len(instance.items):5}{instance.known or '-':>7}"
            f"{bound:7}"
            + "".join(f"{cell:9g} ({excess(cell, known):4.1f})" for cell in cells),
            flush=True,
        )
    for name, of in (
        ("mean", statistics.mean),
        ("median", statistics.median),
        ("worst", max),
    ):
        print(
            f"{name + ' %':29}"
            + "".join(f"{of(found[column]):17.2f}" for column in columns)
        )
    means = [statistics.mean(found[column]) for column in columns[: len(seconds)]]
    return dict(zip(seconds, means, strict=True)), sound


def beside(instance: Instance, *, seconds) -> list[int]:
    """Our knife plan, then the general package, free and by guillotine."""
    quick = nested(instance, seconds=0).length_mm
    return [
        nested(instance, seconds=seconds, cut="guillotine").length_mm,
        packed_by_rectpack(instance, FREE, longest=quick),
        packed_by_rectpack(instance, KNIFE, longest=quick),
    ]


def shop_jobs(*, cut) -> float:
    """Mean % over the bound: sides 120-1450 x 120-1200, 60 % may turn, gap 10."""
    over = []
    for count in (20, 30, 40, 50, 60):
        for seed in (1, 2, 3):
            draw = random.Random(f"{count}-{seed}")
            blanks = [
                Blank(
                    id=f"{number:03}",
                    width_mm=draw.randint(120, 1450),
                    length_mm=draw.randint(120, 1200),
                    turn="quarter" if draw.random() < 0.6 else "none",
                )
                for number in range(count)
            ]
            plan = plan_pull(
                blanks=blanks,
                rolls=[Roll(id="R", width_mm=1524, remaining_mm=10**6)],
                offcuts=[],
                rules=Rules(gap_mm=10, cut=cut),
                budget=Budget(tries=NO_END, seed=1, wall_s=SHOP_SECONDS),
            )
            over.append(excess(plan.length_mm, plan.bound_mm))
            print(
                f"  {count} blanks, job {seed}: {plan.length_mm} mm, "
                f"{over[-1]:.2f} % over {plan.bound_mm} mm",
                flush=True,
            )
    print(
        f"shop-like jobs, {cut}: mean {statistics.mean(over):.2f} %, "
        f"worst {max(over):.2f} % over the bound in {SHOP_SECONDS:g} s"
    )
    return statistics.mean(over)


def quick_times(instances) -> None:
    times = []
    for instance in instances:
        start = time.perf_counter()
        nested(instance, seconds=0)
        times.append(1000 * (time.perf_counter() - start))
    print(
        f"quick plan, checked: median {statistics.median(times):.0f} ms, "
        f"worst {max(times):.0f} ms"
    )


def main(arguments=None) -> int:
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--file", type=Path)
    parser.add_argument("--seconds", type=above_zero(float))
    parser.add_argument("--seeds", type=above_zero(int), default=1)
    asked = parser.parse_args(arguments)
    try:
        instances, said = read_instances(asked.file or CASES)
    except NotAnInstance as problem:
        print(problem)
        return 1
    print("\n".join(said) if said else "every instance is read")
    if not instances:
        print("No instance is left to run.")
        return 1
    seconds = [asked.seconds] if asked.seconds else sorted(FLOORS)
    print(
        f"{platform.machine()}, {os.cpu_count()} cores, Python "
        f"{platform.python_version()}, load {os.getloadavg()[0]:.1f}, "
        f"{asked.seeds} run(s) each, % over the known length (else the bound) in "
        "brackets"
    )
    # The engine's first import is not part of any plan.
    nested(instances[0], seconds=1)
    means, sound = bench(instances, seconds=seconds, seeds=asked.seeds)
    good = sound
    if asked.file is None:
        good &= all(mean <= FLOORS.get(second, 100) for second, mean in means.items())
    print("every bound holds" if sound else "A BOUND IS ABOVE A LENGTH")
    quick_times(instances)
    if asked.file is None:
        good &= shop_jobs(cut="free") <= SHOP_FLOOR
        shop_jobs(cut="guillotine")
    print(f"load at the end {os.getloadavg()[0]:.1f}; " + ("pass" if good else "FAIL"))
    return 0 if good else 1


if __name__ == "__main__":
    sys.exit(main())
