"""What a pour that is off makes, and how it is set right, in sentences (pure)."""

from __future__ import annotations

from dataclasses import replace

from mixing.sheet.balance import mixed_ml, soap_ml_per_l, strength_vv_pct
from mixing.sheet.correction import (
    Aim,
    InIt,
    is_off,
    out_first_ml,
    readable_up_ml,
    right_batch_ml,
    right_volume_ml,
)
from mixing.sheet.course import OUT_STEP_ML, WORDS, Course
from shopapp.figures import Figure, computed, given
from shopapp.say import Say, say


def made_figures(made: InIt, aim: Aim) -> dict[str, Figure]:
    """What is off, strength before soap: `made` beside `wanted`."""
    known: dict[str, float] = {
        "stock_ml": made.stock_ml,
        "stock_vv_pct": made.stock_vv_pct,
        "water_ml": made.water_ml,
        "soap_ml": made.soap_ml,
    }
    if aim.vv_pct and is_off(made, replace(aim, dose_ml_per_l=0.0)):
        return {
            "made": computed(strength_vv_pct, "vv_pct", **known),
            "wanted": given(aim.vv_pct, "vv_pct", "recipe"),
        }
    volume = computed(mixed_ml, "ml", **known)
    return {
        "made": computed(
            soap_ml_per_l, "ml_per_l", soap_ml=made.soap_ml, volume_ml=volume
        ),
        "wanted": given(aim.dose_ml_per_l, "ml_per_l", "recipe and temperature"),
    }


def what_it_makes(course: Course) -> tuple[Say, ...]:
    """What a course that is off comes to, and whether water alone can help."""
    aim, there = course.aim, course.in_it
    assert aim is not None
    finished = course.finished
    volume = given(finished.volume_ml, "ml", "in the vessel when all is poured")
    said = [
        say(
            "That makes {made} in {volume}; {wanted} is wanted.",
            volume=volume,
            **made_figures(finished, aim),
        )
    ]
    right = computed(
        right_volume_ml,
        "ml",
        stock_ml=there.stock_ml,
        stock_vv_pct=there.stock_vv_pct,
        water_ml=there.water_ml,
        soap_ml=there.soap_ml,
        vv_pct=aim.vv_pct,
        dose_ml_per_l=aim.dose_ml_per_l,
        added_vv_pct=aim.added_vv_pct,
    )
    if right.value > aim.most_ml:
        said.append(
            say(
                "What is in it is enough for {right}; the vessel is filled to {most}.",
                right=right,
                most=given(aim.most_ml, "ml", "how far it is filled"),
            )
        )
    return tuple(said)


def how_to_set_right(course: Course) -> tuple[Say, ...]:
    """The cure of a course that is off, step by step; empty where nothing helps."""
    cure, aim = course.cure, course.aim
    if cure is None or aim is None:
        return ()
    said = []
    if cure.out_ml:
        whole = course.in_it.volume_ml
        exact = computed(
            out_first_ml,
            "ml",
            in_it_ml=whole,
            right_ml=right_batch_ml(course.in_it, aim),
            most_ml=aim.most_ml,
        )
        out = computed(readable_up_ml, "ml", wanted_ml=exact, step_ml=OUT_STEP_ML)
        left = given(whole - cure.out_ml, "ml", "what stays in it")
        said.append(
            say(
                "Swirl, then pour {out} out into the waste can: {left} stay.",
                out=out,
                left=left,
            )
        )
    said += [
        say(
            "Then {amount} of {substance}.",
            amount=asked.pour.amount,
            substance=WORDS[asked.pour.substance],
        )
        for asked in course.put_right().queue
        if not asked.pour.to_mark
    ]
    return tuple(said)
