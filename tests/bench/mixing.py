"""How long a mixing sheet takes, and how far the formulas lie from published values.

    python -m tests.bench.mixing

Times are of the processor, so that a busy machine does not count the others' work.
Exits non-zero when a median sheet takes 3 ms or more. The strip with two containers of
different strength, one running out in the middle, is shown but not held to that.

The touches of a guided mix are those that the browser test counts: it is run here, over
a real shop in a real browser. Without a browser that line says so.
"""

from __future__ import annotations

import os
import platform
import shutil
import statistics
import subprocess
import sys
import time
from collections.abc import Iterator
from dataclasses import replace

from mixing.chemistry.alcohol import blend, density_g_per_ml, mass_fraction
from mixing.climate.air import dew_point_c
from mixing.dispensers.dosing import Substance
from mixing.recipes.spec import trade_recipes
from mixing.sheet import (
    Basis,
    Conditions,
    SheetRequest,
    SolutionKind,
    StockContainer,
    Vessel,
    mixing_sheet,
)
from tests.cases import rows

FLOOR_MS = 3.0
RUNS = 400
HARDEST = "printed ahead, strip, a container runs out"
SHEETS = (
    ("with a reading", False, 4000.0),
    ("with a reading, a container runs out", False, 500.0),
    ("printed ahead, strip", True, 4000.0),
    (HARDEST, True, 500.0),
)


def vessels() -> tuple[Vessel, ...]:
    bottles = [
        Vessel(code=f"{kind.value}-{n}", kind=kind, capacity_ml=950)
        for kind in SolutionKind
        for n in range(1, 9)
    ]
    sprayer = Vessel(
        code="slip-P", kind=SolutionKind.SLIP, capacity_ml=6000, usable_ml=5000
    )
    return (*bottles, sprayer)


def request(*, left_ml: float = 4000) -> SheetRequest:
    """A full front: slip, tack and all-in-one, two containers, a shelf of vessels.

    left_ml  in the older container; 500 runs out in the middle of the work
    """
    return SheetRequest(
        film_area_m2=6.0,
        recipes=trade_recipes()[:3],
        conditions=Conditions(air_c=29, rh_pct=62, panel_c=31, air_m_per_s=0.2),
        placing_min=25,
        vessels=vessels(),
        stock=(
            StockContainer(
                code="C1",
                substance=Substance.ALCOHOL,
                strength_pct=91,
                basis=Basis.VV,
                left_ml=left_ml,
                opened_days=20,
            ),
            StockContainer(
                code="C2",
                substance=Substance.ALCOHOL,
                strength_pct=70,
                basis=Basis.WW,
                left_ml=4000,
            ),
        ),
    )


def fresh_requests(*, ahead: bool, left_ml: float) -> Iterator[SheetRequest]:
    """Another area, climate and strength each time, so that no cache answers."""
    start = request(left_ml=left_ml)
    for run in range(RUNS):
        step = run / RUNS
        stock = tuple(
            replace(each, strength_pct=(each.strength_pct or 0) - step)
            for each in start.stock
        )
        now = Conditions()
        if not ahead:
            now = Conditions(
                air_c=25 + step,
                panel_c=26 + 3 * step,
                rh_pct=50 + step,
                air_m_per_s=0.2,
            )
        yield replace(start, film_area_m2=4 + 4 * step, conditions=now, stock=stock)


def times_ms(*, ahead: bool, left_ml: float) -> list[float]:
    mixing_sheet(request())  # imports and tables are warm in a server
    times = []
    for each in fresh_requests(ahead=ahead, left_ml=left_ml):
        start = time.process_time()
        mixing_sheet(each)
        times.append((time.process_time() - start) * 1000)
    return times


def largest_errors() -> dict[str, tuple[float, int]]:
    """Largest difference from the case files, and how many rows were compared."""
    density = [
        density_g_per_ml(
            mass_fraction=float(row["mass_pct"]) / 100, temp_c=float(row["temp_c"])
        )
        - float(row["density_g_per_ml"])
        for row in rows("density")
    ]
    strength = [
        100 * mass_fraction(vv_pct=float(row["vv_pct"])) - float(row["expected"])
        for row in rows("strength")
        if row["relation"] == "ww"
    ] + [
        blend(
            stock_ml=float(row["stock_ml"]),
            stock_vv_pct=float(row["stock_vv_pct"]),
            water_ml=float(row["water_ml"]),
        ).vv_pct
        - float(row["vv_pct"])
        for row in rows("mixes")
    ]
    dew = [
        dew_point_c(air_c=float(row["air_c"]), rh_pct=float(row["rh_pct"]))
        - float(row["dew_point_c"])
        for row in rows("dew_points")
    ]
    return {
        "density, g/mL": _largest(density),
        "strength, % points": _largest(strength),
        "dew point, °C (charts round to whole degrees)": _largest(dew),
    }


def _largest(errors: list[float]) -> tuple[float, int]:
    return max(abs(error) for error in errors), len(errors)


def guided_touches() -> tuple[list[str], bool]:
    """What the browser test of a guided mix of three solutions counted; all well."""
    if shutil.which("chromium") is None or shutil.which("redis-server") is None:
        return ["guided mix: not counted, no chromium or no redis-server here"], True
    test = "tests/browser/test_guided_mix.py"
    ran = subprocess.run(
        [sys.executable, "-m", "pytest", "-q", "-p", "no:cacheprovider", test],
        capture_output=True,
        text=True,
        check=False,
    )
    lines = [line for line in ran.stdout.splitlines() if line.startswith("guided mix")]
    return lines or ["guided mix: the test counted nothing"], ran.returncode == 0


def main() -> int:
    load = os.getloadavg()[0]
    print(
        f"{platform.processor() or platform.machine()}, Python "
        f"{platform.python_version()}, load {load:.1f}"
    )
    slow = []
    for name, ahead, left_ml in SHEETS:
        times = times_ms(ahead=ahead, left_ml=left_ml)
        median = statistics.median(times)
        print(
            f"sheet {name}: median {median:.2f} ms, best {min(times):.2f} ms, "
            f"worst {max(times):.2f} ms, {len(times)} runs"
        )
        if median >= FLOOR_MS and name != HARDEST:
            slow.append(name)
    for name, (error, count) in largest_errors().items():
        print(f"largest error of {name}: {error:.4f} over {count} published values")
    touches, is_well = guided_touches()
    print("\n".join(touches))
    if slow:
        print(f"FAILED: {FLOOR_MS} ms or more: {', '.join(slow)}")
    if not is_well:
        print("FAILED: the guided mix, see tests/browser/test_guided_mix.py")
    return 1 if slow or not is_well else 0


if __name__ == "__main__":
    sys.exit(main())
