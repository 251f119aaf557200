"""The shop's own sets of safety rules: each change is a new immutable version."""

from __future__ import annotations

from typing import Any

from mixing.models import RuleSet, RuleSetVersion
from mixing.rule_sets.queries import (
    newest_version,
    rows_of,
    rows_to_begin_with,
    rule_set_names,
)
from mixing.safety.rule_rows import row_to_json
from shopapp.frame import Act, Json, Refused, action
from shopapp.say import say


@action("ruleset.add")
def add_rule_set(act: Act, *, name: str, begin_with: str = "", why: str) -> Json:
    """Begin a set of the shop's own, empty or as a copy of another."""
    name = name.strip()
    if name in rule_set_names():
        raise Refused(say("There is a set of this name already."), field="name")
    if begin_with and begin_with not in rule_set_names():
        raise Refused(say("This set is not there any more."), field="begin_with")
    rows = [row_to_json(row) for row in rows_to_begin_with(begin_with)]
    rule_set = RuleSet.objects.create(name=name)
    _keep(act, rule_set, number=1, rows=rows, why=why)
    return {"pk": rule_set.pk}


@action("ruleset.change")
def change_rule_set(
    act: Act,
    *,
    rule_set_pk: int,
    number: int,
    rows: list[dict[str, Any]],
    why: str,
) -> Json:
    """Make the next version of a set. Papers that were issued keep theirs."""
    rule_set = RuleSet.objects.select_for_update(no_key=True).get(pk=rule_set_pk)
    last = newest_version(rule_set)
    if last.number != number:
        raise Refused(
            say(
                "Version {n} was made meanwhile. Open the page again and look at it.",
                n=last.number,
            )
        )
    if [row_to_json(row) for row in rows_of(last)] == rows:
        raise Refused(say("Nothing was changed."))
    if not why.strip():
        raise Refused(say("Say why it changes."), field="why")
    version = _keep(act, rule_set, number=number + 1, rows=rows, why=why)
    return {"pk": version.pk, "number": version.number}


def _keep(
    act: Act, rule_set: RuleSet, *, number: int, rows: list[dict[str, Any]], why: str
) -> RuleSetVersion:
    return RuleSetVersion.objects.create(
        rule_set=rule_set,
        number=number,
        rows=rows,
        why=why.strip(),
        made_by=act.tap.by,
        made_at=act.now,
    )
