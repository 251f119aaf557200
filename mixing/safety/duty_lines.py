"""What is done at the shelf and the mixing point, by the set gone by (pure)."""

from __future__ import annotations

from collections.abc import Sequence

from mixing.safety.rule_rows import slot_of
from mixing.safety.states import PAGE_RULES, MissingInput, SafetyLine, State
from mixing.safety.storage import Duty, StockContainer, StorageRules
from shopapp.say import say

_OWN = "{line}"


def duty_lines(
    *,
    stock: Sequence[StockContainer] | None,
    sprays: bool,
    rules: StorageRules,
) -> tuple[SafetyLine, ...]:
    """The instructions that hold for what is held and sprayed.

    stock   None: nobody said what is held, so every instruction holds
    sprays  a solvent is, or may be, in the job
    """
    held = {None} if stock is None else {each.category for each in stock}
    return tuple(
        _line(duty, rules)
        for duty in rules.duties
        if duty.applies and (sprays or None in held or held & duty.categories)
    )


def _line(duty: Duty, rules: StorageRules) -> SafetyLine:
    if not duty.line:
        what = slot_of(duty.key).what
        return SafetyLine(
            key=duty.key,
            section="storage",
            state=State.NOT_ASSESSED,
            sentence=say("What holds for {what}: not entered.", what=what),
            source="storage instructions of the rules gone by",
            missing=(f"rules.{duty.key}",),
            rules=rules.named,
        )
    return SafetyLine(
        key=duty.key,
        section="storage",
        state=None,
        # A shop's own words may hold a brace; they are not a pattern.
        sentence=say(duty.line) if rules.is_example else say(_OWN, line=duty.line),
        source="; ".join(part for part in (duty.paragraph, duty.source) if part),
        rules=rules.named,
    )


def duty_needs(rules: StorageRules) -> tuple[MissingInput, ...]:
    """The instructions that nobody entered."""
    return tuple(
        MissingInput(
            key=f"rules.{duty.key}",
            sentence=say("Instruction for {what}.", what=slot_of(duty.key).what),
            page=PAGE_RULES,
        )
        for duty in rules.duties
        if duty.applies and not duty.line
    )
