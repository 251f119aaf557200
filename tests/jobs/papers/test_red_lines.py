"""Red lines: what nobody may overlook on a car."""

from __future__ import annotations

from jobs.papers.red_lines import AgreedMark, red_lines

PLAIN = {
    "notes": "",
    "paint_history": "",
    "finish": "metallic",
    "film_is_matte": False,
    "film_is_directional": False,
    "marks": (),
}


def said(**changed):
    lines = red_lines(**{**PLAIN, **changed})
    return {str(line.word): str(line.text) for line in lines}


def test_a_plain_car_has_none():
    assert said() == {}


def test_notes_come_first_and_on_one_line():
    lines = red_lines(**{**PLAIN, "notes": " Sensors \n in front ", "finish": "matte"})
    assert [str(line.word) for line in lines] == ["Car", "Matte paint"]
    assert str(lines[0].text) == "Sensors in front"


def test_a_repaint_is_a_red_line():
    assert said(paint_history="Hood repainted 2029.") == {
        "Paint": "Hood repainted 2029."
    }


def test_braces_in_a_note_are_only_letters():
    assert said(notes="{danger}")["Car"] == "{danger}"


def test_matte_and_directional_film_are_said_each():
    found = said(film_is_matte=True, film_is_directional=True)
    assert set(found) == {"Matte film", "Directional film"}


def test_agreed_marks_stand_apart_from_those_that_are_not():
    marks = [
        AgreedMark(panel="hood", kind="stone chip", size_mm=3, is_agreed=True),
        AgreedMark(panel="door, left", kind="scratch", size_mm=None, is_agreed=False),
    ]
    assert said(marks=marks) == {
        "Agreed marks": "hood: stone chip 3 mm.",
        "Marks not agreed yet": "door, left: scratch.",
    }
