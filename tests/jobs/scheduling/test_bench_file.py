"""The bench takes any file of shop floors and prints a line for each, nothing else."""

import json

import pytest

from tests.bench.scheduling import main

TWO_JOBS = [[[0, 3], [1, 2]], [[1, 4], [0, 0]]]
PROJECT = {
    "name": "p",
    "capacity": [2, 0],
    "durations": [0, 3, 2, 4, 0],
    "successors": [[2, 3], [4], [5], [5], []],
    "demands": [[0, 0], [2, 0], [1, 0], [2, 0], [0, 0]],
}
CLOSED = {"name": "c", "bays": {}, "people": {}, "vehicles": [], "openings": []}


def file(tmp_path, **known):
    path = tmp_path / "own.json"
    path.write_text(json.dumps(known))
    return ["--file", str(path), "--seconds", "5", "--workers", "1"]


@pytest.mark.parametrize(
    ("kind", "row", "value"),
    [
        ("jsp", {"name": "j", "jobs": TWO_JOBS}, 6),
        ("jsp", {"jobs": TWO_JOBS, "name": "j", "best_known": {"upper": 6}}, 6),
        ("fjsp", {"name": "f", "jobs": [[[[0, 9], [7, 2]]], [[[7, 2]]]]}, 4),
        ("rcpsp", PROJECT, 9),
        ("jsp", {"name": "empty", "jobs": []}, 0),
        ("jsp", {"name": "nothing", "jobs": [[[0, 0]], [[0, 0], [1, 0]]]}, 0),
    ],
)
def test_a_line_has_name_value_bound_proof_and_seconds(
    kind, row, value, tmp_path, capsys
):
    assert main(file(tmp_path, kind=kind, instances=[row])) == 0
    (line,) = capsys.readouterr().out.splitlines()
    name, found, bound, said, seconds = line.split("\t")
    assert (name, found, bound, said) == (row["name"], str(value), str(value), "proven")
    assert float(seconds) >= 0


@pytest.mark.parametrize(
    ("kind", "row", "sentence"),
    [
        ("jsp", {"name": "odd"}, "odd cannot be read"),
        ("jsp", {"name": "odd", "jobs": [[[0, -1]]]}, "-1 is no duration"),
        ("knitting", {"name": "odd", "jobs": []}, "odd: kind is none of"),
        ("rcpsp", {**PROJECT, "capacity": [1, 0]}, "p: no plan"),
        ("shop", CLOSED, "the shop never opens"),
    ],
)
def test_what_cannot_be_run_is_said_beside_the_lines(
    kind, row, sentence, tmp_path, capsys
):
    assert main(file(tmp_path, kind=kind, instances=[row])) == 1
    told = capsys.readouterr()
    assert told.out == ""
    assert sentence in told.err


def test_a_file_that_is_not_there_gets_a_sentence(tmp_path, capsys):
    assert main(["--file", str(tmp_path / "none.json")]) == 1
    assert "There is no file" in capsys.readouterr().err
