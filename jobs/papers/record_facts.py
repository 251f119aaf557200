"""What a work order keeps for a dispute: the yes, the batches, what was open."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any

from django.utils.safestring import SafeString
from django.utils.translation import gettext, ngettext

from jobs.condition.agreement_queries import drop_off_of
from jobs.condition.marks import mark_named
from jobs.condition.queries import not_agreed
from jobs.models import OrderSolution, WorkOrder
from jobs.papers.image_facts import image_of
from mixing.sheet import MixingSheet
from shopapp.media import Damaged, read_bytes
from shopapp.models import StoredFile


@dataclass(frozen=True, kw_only=True)
class AgreedFacts:
    """Who agreed at drop-off, how, and when; empty words while nobody has.

    signature   the drawing by its hash
    not_agreed  marks that were added since, in words
    """

    how: str
    name: str
    kept_by: str
    agreed_at: datetime | None
    signature: str
    not_agreed: tuple[str, ...]


@dataclass(frozen=True, kw_only=True)
class BatchFacts:
    """A batch that was mixed or taken for this car, in any round."""

    number: str
    code: str
    kind: str
    round: int
    vessels: tuple[str, ...]
    volume_ml: float
    soap_ml: float
    vv_pct: float
    mixed_at: datetime
    by: str
    kept_because: str


def agreed_facts(order: WorkOrder) -> AgreedFacts:
    """The drop-off as it was agreed."""
    agreed = drop_off_of(order)
    later = not_agreed(order)
    return AgreedFacts(
        how=order.get_walk_round_agreed_display() if order.walk_round_agreed else "",
        name=agreed.name if agreed else "",
        kept_by=str(agreed.by or "") if agreed else "",
        agreed_at=order.walk_round_agreed_at,
        signature=agreed.signature.sha256 if agreed and agreed.signature else "",
        not_agreed=tuple(mark_named(mark.kind) for mark in later),
    )


def batch_facts(order: WorkOrder) -> tuple[BatchFacts, ...]:
    """Every batch that is tied to the order, round by round."""
    ties = order.order_batches.select_related("batch__mixed_by").prefetch_related(
        "batch__fills__vessel"
    )
    return tuple(
        BatchFacts(
            number=tie.batch.number,
            code=tie.batch.kind,
            kind=tie.batch.get_kind_display(),
            round=tie.round,
            vessels=tuple(fill.vessel.code for fill in tie.batch.fills.all()),
            volume_ml=tie.batch.volume_ml,
            soap_ml=tie.batch.soap_ml,
            vv_pct=tie.batch.vv_pct,
            mixed_at=tie.batch.mixed_at,
            by=str(tie.batch.mixed_by or ""),
            kept_because=tie.batch.kept_because,
        )
        for tie in ties.order_by("round", "pk")
    )


def still_to_pour(order: WorkOrder, sheet: MixingSheet | None) -> MixingSheet | None:
    """The sheet without what nobody will pour: not needed, or no panel left to lay.

    What was mixed in this round stays. A new round asks for each kind again; one that
    was said to be not needed before is not printed as to be mixed.
    """
    if sheet is None:
        return None
    mixed = set(
        order.order_batches.filter(round=order.round).values_list(
            "batch__kind", flat=True
        )
    )
    dropped = _not_needed(order)
    to_lay = order.panels.filter(laid_at=None, struck_off_at=None).exists()
    left = tuple(
        solution
        for solution in sheet.solutions
        if solution.kind.value in mixed
        or (to_lay and solution.kind.value not in dropped)
    )
    return replace(sheet, solutions=left) if left else None


def mixed_now(facts: dict[str, Any]) -> frozenset[str]:
    """Kinds of solution that were mixed in the round the paper was printed in."""
    batches = facts.get("batches", ())
    return frozenset(b["code"] for b in batches if b["round"] == facts["round"])


def _not_needed(order: WorkOrder) -> set[str]:
    """Kinds of which the last word of any round was "not needed"."""
    last: dict[str, str] = {}
    for row in order.solutions.order_by("round", "pk"):
        if row.state != OrderSolution.State.WAITING:
            last[row.kind] = row.state
    return {k for k, state in last.items() if state == OrderSolution.State.NOT_NEEDED}


def left_open(*, items: int, agreed: AgreedFacts | None) -> str:
    """What was open when the car was led out of a stage, in few words.

    agreed  for intake; None elsewhere
    """
    said = []
    if agreed is not None and not agreed.how:
        said.append(gettext("drop-off not agreed"))
    if agreed is not None and agreed.not_agreed:
        count = len(agreed.not_agreed)
        text = ngettext("{n} mark not agreed", "{n} marks not agreed", count)
        said.append(text.format(n=count))
    if items:
        said.append(
            ngettext("{n} check open", "{n} checks open", items).format(n=items)
        )
    return ", ".join(said)


def signature_of(facts: dict[str, Any]) -> SafeString | str:
    """The signature as an image; nothing on papers of before, or unsigned ones."""
    agreed = facts.get("agreed") or {}
    if not agreed.get("signature"):
        return ""
    kept = StoredFile.objects.filter(sha256=agreed["signature"]).first()
    if kept is None:
        return ""
    alt = gettext("signature of {name}").format(name=agreed["name"])
    try:
        return image_of(read_bytes(kept).decode(), alt=alt, css="signature")
    except Damaged as lost:
        return f"{alt}: {lost}"
