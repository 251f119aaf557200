"""The bench takes any file of strip instances and says what it cannot run."""

import json

import pytest

from tests.bench.instances import NotAnInstance, read_instance, read_instances
from tests.bench.nesting import main


def instance(**changes):
    return {"id": "own", "strip_width": 10, "items": [[4, 5], [6, 5]], **changes}


@pytest.mark.parametrize(
    ("row", "sentence"),
    [
        (instance(items=[]), "own has no items."),
        (instance(items=[[4, 5, 6]]), "not a pair of width and length: [4, 5, 6]."),
        (instance(items=[[11, 5]]), "11 x 5, is wider than the strip of 10 (as it is"),
        (instance(items=[[11, 12]], rotation="quarter"), "(as it is and turned)."),
        (instance(items=[[4, 0]]), "item 1 must be a whole number above 0, not 0."),
        (instance(items=[[4, "x"]]), "not 'x'."),
        (instance(strip_width=None), "strip_width must be a whole number above 0"),
        (instance(rotation="sideways"), 'rotation is "none" or "quarter"'),
        (instance(known=-1), "known must be a whole number above 0, not -1."),
        ("no object", "instance 7 is no object with keys."),
    ],
)
def test_what_is_no_instance_gets_a_sentence(row, sentence):
    with pytest.raises(NotAnInstance) as problem:
        read_instance(row, name="instance 7")
    assert sentence in str(problem.value)


def test_an_unknown_key_is_named_and_passed_over():
    read, said = read_instance(instance(colour="red", n=2), name="1")
    assert read.items == ((4, 5), (6, 5))
    assert said == ['own: "colour" is not read.']


def test_a_blank_that_fits_only_turned_is_taken_where_it_may_turn():
    read, _ = read_instance(instance(items=[[12, 5]], rotation="quarter"), name="1")
    assert read.turn == "quarter"


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("", "is not JSON"),
        ("{}", 'has no list under "instances"'),
        ("[]", "holds no instance"),
        ('{"instances": []}', "holds no instance"),
    ],
)
def test_a_file_without_instances_gets_a_sentence(tmp_path, text, sentence, capsys):
    path = tmp_path / "own.json"
    path.write_text(text)
    assert main(["--file", str(path), "--seconds", "0.1"]) == 1
    assert sentence in capsys.readouterr().out


def test_a_missing_file_gets_a_sentence(tmp_path):
    with pytest.raises(NotAnInstance, match="There is no file"):
        read_instances(tmp_path / "absent.json")


def test_good_instances_run_beside_the_ones_left_out(tmp_path, capsys):
    rows = [
        instance(items=[[3, 7]]),
        instance(id="wide", items=[[11, 2]]),
        instance(id="two", known=5),
    ]
    path = tmp_path / "own.json"
    path.write_text(json.dumps({"instances": rows}))
    assert main(["--file", str(path), "--seconds", "0.2"]) == 0
    out = capsys.readouterr().out
    assert "Left out: wide: item 1, 11 x 2, is wider than the strip of 10" in out
    assert "every bound holds" in out
