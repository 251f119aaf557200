"""Forms of the order's film page: take the pull, give film back."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from jobs import limits
from jobs.models import FilmMovement, Pull
from jobs.nesting import NewOffcut
from jobs.pulls.stored import pull_from_json
from jobs.pulls.taken_actions import PieceKept, RollTaken
from shopapp.amounts import Amount
from shopapp.columns import column
from shopapp.limits import Range

KEPT, MOST_SIGNS = ("roll_", "place_"), 60
"""Fields that outlive a plan: a length belongs to its plan, a roll and a place do not.
"""
ROLLS_LIST = "rolls-there"
"""Element that offers the rolls of the film."""


class LengthField(Amount):
    """Whole millimetres, typed in the shop's unit.

    A planned length that was left as it stood comes back to the millimetre, though
    inches show only a tenth.
    """

    def __init__(self, *, within: Range = limits.TAKEN_MM, **kwargs: Any) -> None:
        super().__init__(within=within, **kwargs)

    def clean(self, value: Any) -> int | None:
        """The length, or the planned one where nothing was changed."""
        typed = super().clean(value)
        if self.initial is not None and value == self.prepare_value(self.initial):
            return int(self.initial)
        return None if typed is None else round(typed)


class ConfirmForm(forms.Form):
    """Which roll, how much, which pieces are kept: filled in as planned, one tap."""

    def __init__(
        self,
        *args: Any,
        pull: Pull,
        typed: Mapping[str, str] | None = None,
        **kwargs: Any,
    ) -> None:
        """`typed`: what somebody had entered for the plan before this one."""
        super().__init__(*args, **kwargs)
        self.plan = pull_from_json(pull.plan).plan
        for at, planned in enumerate(self.plan.pulls):
            self.fields[f"roll_{at}"] = forms.CharField(
                label=_("Roll"),
                max_length=12,
                initial=planned.roll_id,
                widget=forms.TextInput(attrs={"list": ROLLS_LIST}),
            )
            self.fields[f"length_{at}"] = LengthField(
                label=_("Length taken"), initial=planned.length_mm
            )
            self.fields[f"ended_{at}"] = forms.BooleanField(
                label=_("The roll ended here"), required=False
            )
        self.fields["measured_so"] = forms.BooleanField(
            label=_("Measured so, though the plan says otherwise"), required=False
        )
        for at, _piece in enumerate(self.plan.new_offcuts):
            self.fields[f"keep_{at}"] = forms.BooleanField(
                label=_("Keep"), required=False, initial=True
            )
            self.fields[f"place_{at}"] = forms.CharField(
                label=_("Where it is put"), max_length=60, required=False
            )

        for name, value in (typed or {}).items():
            if name in self.fields and name.startswith(KEPT):
                self.fields[name].initial = value[:MOST_SIGNS]

    @property
    def typed(self) -> dict[str, str]:
        """Rolls that are not the planned ones, and places: what a new plan keeps."""
        planned = {
            f"roll_{at}": pull.roll_id for at, pull in enumerate(self.plan.pulls)
        }
        return {
            name: value
            for name in self.fields
            if name.startswith(KEPT)
            and (value := self.data.get(name, "").strip())
            and value != planned.get(name)
        }

    @property
    def is_asked(self) -> bool:
        """Whether a length stands there that somebody should look at again."""
        return "measured_so" in self.errors or bool(self.data.get("measured_so"))

    @property
    def rolls(self) -> list[tuple[Any, Any, Any]]:
        """Roll, length and end of each pull of the plan."""
        return [
            (self[f"roll_{at}"], self[f"length_{at}"], self[f"ended_{at}"])
            for at, _pull in enumerate(self.plan.pulls)
        ]

    @property
    def rolls_to_count(self) -> list[str]:
        """Codes of rolls that do not hold what was typed, or what was planned."""
        return [
            str(roll.value()).strip()
            for roll, length, _ in self.rolls
            if length.errors or self.is_asked
        ]

    @property
    def pieces(self) -> list[tuple[NewOffcut, Any, Any]]:
        """Each piece left over, its tick and its place."""
        return [
            (piece, self[f"keep_{at}"], self[f"place_{at}"])
            for at, piece in enumerate(self.plan.new_offcuts)
        ]

    def clean(self) -> dict[str, Any]:
        """`taken` and `kept` in the action's own words."""
        cleaned = super().clean() or {}
        if self.errors:
            return cleaned
        return {
            "measured_so": cleaned["measured_so"],
            "taken": tuple(
                RollTaken(
                    planned_roll=planned.roll_id,
                    roll=cleaned[f"roll_{at}"],
                    length_mm=cleaned[f"length_{at}"],
                    ended=cleaned[f"ended_{at}"],
                )
                for at, planned in enumerate(self.plan.pulls)
            ),
            "kept": tuple(
                PieceKept(at=at, location=cleaned[f"place_{at}"])
                for at, _piece in enumerate(self.plan.new_offcuts)
                if cleaned[f"keep_{at}"]
            ),
        }


class ReturnForm(forms.Form):
    """Film that was taken and is wound back."""

    roll = forms.CharField(label=_("Roll"), max_length=12)
    length_mm = LengthField(label=_("Length wound back"))
    reason = column(FilmMovement.reason, _("Why"))


def ended_rolls(taken: Sequence[RollTaken]) -> dict[str, Any]:
    """What `roll_end_queries` asks about a pull, from the form's own words."""
    lengths: dict[str, int] = {}
    for row in taken:
        lengths[row.roll] = lengths.get(row.roll, 0) + row.length_mm
    return {
        "ended": {row.planned_roll: row.length_mm for row in taken if row.ended},
        "taken": lengths,
        "empty": {row.roll for row in taken if row.ended},
    }


class UnplannedForm(forms.Form):
    """Film taken by eye: a roll, a length, and for which panels."""

    roll = forms.ChoiceField(label=_("Roll"))
    length_mm = Amount(
        label=_("Length taken"), within=limits.TAKEN_MM.scaled(0.001, "m")
    )
    ended = forms.BooleanField(label=_("The roll ended here"), required=False)
    panels = forms.MultipleChoiceField(
        label=_("For"), widget=forms.CheckboxSelectMultiple, required=False
    )

    def __init__(
        self,
        *args: Any,
        rolls: Sequence[tuple[str, str]],
        panels: Sequence[tuple[str, str]],
        **kwargs: Any,
    ) -> None:
        """`rolls`, `panels`: code and words of those that may be named."""
        super().__init__(*args, **kwargs)
        self.fields["roll"].choices = rolls  # type: ignore[attr-defined]
        self.fields["panels"].choices = panels  # type: ignore[attr-defined]
        self.fields["panels"].initial = [code for code, _name in panels]

    @property
    def roll_to_count(self) -> str:
        """Code of the roll if it does not hold what was typed."""
        return str(self["roll"].value()) if "length_mm" in self.errors else ""

    def clean(self) -> dict[str, Any]:
        """The length in whole millimetres."""
        cleaned = super().clean() or {}
        if length_m := cleaned.get("length_mm"):
            cleaned["length_mm"] = round(length_m * 1000)
        return cleaned
