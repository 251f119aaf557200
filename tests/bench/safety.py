"""Each published check value of the safety room beside ours.

Run by hand: python -m tests.bench.safety. Exits 1 when one lies outside its
tolerance. Marks: V read in the named text, S secondary copy, M from memory,
C computed from the formula.
"""

from __future__ import annotations

import os
import platform
import statistics
import sys
import time
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from mixing.chemistry.alcohol import mass_fraction
from mixing.safety.block import safety_block
from mixing.safety.flammable import (
    flammable_category,
    liquid_class,
    nfpa_class,
)
from mixing.safety.flash_point import flash_estimate
from mixing.safety.labels import (
    Hazard,
    label_elements,
    mixture_hazards,
    solution_ingredients,
)
from mixing.safety.request import Authorities, BayAir, SafetyRequest, SolutionUse
from mixing.safety.storage import (
    L_PER_US_GAL,
    ContainerKind,
    size_rule,
    storage_rules,
)
from mixing.safety.waste import waste_decision
from tests.cases import rows
from tests.mixing.safety.safety_cases import exposure, mixture_label, ours

PINTS = {"pt": 8, "qt": 4, "gal": 1}
RUNS = 50


@dataclass(frozen=True, kw_only=True)
class Check:
    """A published value, ours, and whether they agree."""

    what: str
    published: str
    ours: str
    agrees: bool
    source: str


def checks() -> Iterator[Check]:
    """Every row of the safety tables in tests/cases."""
    yield from _values()
    yield from _exposures()
    yield from _categories()
    yield from _flash_points()
    yield from _labels()
    yield from _mixtures()
    yield from _containers()
    yield from _waste()


def _values() -> Iterator[Check]:
    for row in rows("safety_values"):
        value = ours(row)
        expected, tolerance = float(row["expected"]), float(row["tolerance"])
        yield Check(
            what=row["id"],
            published=f"{row['expected']} {row['unit']}",
            ours=f"{value:.5g}",
            agrees=abs(value - expected) <= tolerance + 1e-9,
            source=f"[{row['mark']}] {row['source']}",
        )


def _exposures() -> Iterator[Check]:
    for row in rows("safety_exposures"):
        value = exposure(row)
        yield Check(
            what=f"{row['how']}: {row['what']}",
            published=row["expected"],
            ours=f"{value:.6g}",
            agrees=abs(value - float(row["expected"])) <= float(row["tolerance"]),
            source=f"[{row['mark']}] {row['source']}",
        )


def _categories() -> Iterator[Check]:
    for row in rows("safety_categories"):
        flash, boiling = _number(row["flash_point_c"]), _number(row["boiling_point_c"])
        category = flammable_category(flash_point_c=flash, boiling_point_c=boiling)
        class_name = nfpa_class(flash_point_c=flash, boiling_point_c=boiling)
        yield _same(
            f"flash {row['flash_point_c'][:6]} C, boiling {row['boiling_point_c'][:6]}",
            f"{row['category'] or 'none'} {row['nfpa']}",
            f"{category or 'none'} {class_name}",
            row,
        )


def _flash_points() -> Iterator[Check]:
    for row in rows("safety_flash_points"):
        share = mass_fraction(vv_pct=float(row["vv_pct"]))
        found = flash_estimate(mass_fraction=share)
        assert found is not None
        yield Check(
            what=f"flash point {row['what']}",
            published=f"{row['flash_point_c']} C",
            ours=f"{found.flash_point_c:.1f} ({found.low_c:.1f} to {found.high_c:.1f})",
            agrees=found.low_c <= float(row["flash_point_c"]) <= found.high_c,
            source=f"[{row['mark']}] {row['source']}",
        )


def _labels() -> Iterator[Check]:
    for row in rows("safety_labels"):
        vv_pct = float(row["vv_pct"])
        ingredients = solution_ingredients(
            vv_pct=vv_pct,
            soap_mass_pct=float(row["soap_mass_pct"]),
            soap_hazards=[Hazard(name) for name in row["soap_hazards"].split()],
        )
        found = label_elements(
            hazards=mixture_hazards(
                ingredients=ingredients,
                flammable_category=liquid_class(vv_pct=vv_pct).category,
            )
        )
        yield _same(
            f"label {row['bottle']}",
            " ".join(f"{row['signal']} {row['pictograms']} {row['h_codes']}".split()),
            " ".join((found.signal or "", *found.pictograms, *found.h_codes)).strip(),
            row,
        )


def _mixtures() -> Iterator[Check]:
    for row in rows("safety_mixtures"):
        found = mixture_label(row)
        yield _same(
            f"mixture: {row['what']}",
            " ".join(f"{row['signal']} {row['pictograms']} {row['h_codes']}".split()),
            " ".join((found.signal or "", *found.pictograms, *found.h_codes)).strip(),
            row,
        )


def _containers() -> Iterator[Check]:
    rules = storage_rules()
    for row in rows("safety_containers"):
        amount, unit = row["printed"].split()
        rule = size_rule(
            kind=ContainerKind(row["kind"]), category=int(row["category"]), rules=rules
        )
        found = rule.max_l
        yield Check(
            what=f"{row['kind']}, category {row['category']}",
            published=row["printed"],
            ours=f"{found:.4g} L",
            agrees=abs(found - float(amount) / PINTS[unit] * L_PER_US_GAL) < 1e-6,
            source=f"[{row['mark']}] {row['source']}",
        )


def _waste() -> Iterator[Check]:
    for row in rows("safety_waste"):
        found = waste_decision(
            vv_pct=float(row["vv_pct"]),
            flash_point_c=_number(row["flash_point_c"]),
            water_mass_pct=_number(row["water_mass_pct"]),
            has_other_solvent=row["other_solvent"] == "yes",
        )
        answer = {True: "yes", False: "no", None: "unknown"}[found.is_ignitable]
        yield _same(f"D001: {row['what']}", row["ignitable"], answer, row)


def _same(what: str, published: str, found: str, row: dict[str, str]) -> Check:
    return Check(
        what=what,
        published=published or "none",
        ours=found or "none",
        agrees=published == found,
        source=f"[{row['mark']}] {row['source']}",
    )


def _number(text: str) -> float | None:
    return float(text) if text else None


def _block_ms() -> list[float]:
    asked = SafetyRequest(
        solutions=(SolutionUse(name="tack", vv_pct=17.7, litres=2.0),),
        prep=(),
        bay=BayAir(
            name="bay 1",
            volume_m3=189.0,
            exhaust_m3_per_h=600.0,
            measured_on=date(2026, 3, 1),
            mixing_value=3.0,
            mixing_basis="K",
        ),
        limit_ppm=200.0,
        session_min=90.0,
        air_c=20.0,
        heat_target_ppm=50.0,
        stock=(),
        authorities=Authorities(),
        today=date(2026, 5, 1),
    )
    took = []
    for _ in range(RUNS):
        start = time.perf_counter()
        safety_block(asked)
        took.append(1000 * (time.perf_counter() - start))
    return took


def main() -> int:
    """Print every check and the cost of one block; the number of misses."""
    misses = 0
    for check in checks():
        mark = "ok  " if check.agrees else "MISS"
        misses += not check.agrees
        print(
            f"{mark} {check.what:38.38} {check.published:32.32} "
            f"{check.ours:32.32} {check.source}"
        )
    took = _block_ms()
    print(
        f"\none block: median {statistics.median(took):.1f} ms, worst {max(took):.1f} "
        f"ms of {RUNS} runs; Python {platform.python_version()}, "
        f"{os.cpu_count()} cores, load {os.getloadavg()[0]:.1f}"
    )
    print(f"{misses} of the values missed" if misses else "every value met")
    return misses


if __name__ == "__main__":
    sys.exit(1 if main() else 0)
