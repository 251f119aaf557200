"""The papers of every order as they would be asked for now, and those that are kept."""

from __future__ import annotations

import json
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

from django.apps import apps

from shopapp.frame import ACTIONS, Refused, perform
from shopapp.models import Person
from shopapp.printing import pdf_from_html
from tests.furnished import rolled_back
from tests.makers import make_tap
from tests.nets.plain_html import plain_html, without_chance
from tests.nets.worker.answers import words_of

LABELS = {"vessel": "mixing.Vessel", "fill": "mixing.Fill", "offcut": "jobs.OffCut"}
MOST_LABELS = 6


def shops_own(name: str) -> Callable[..., Any]:
    """A function of the shop, wherever it stands in this checkout."""
    found = {
        getattr(module, name)
        for place, module in list(sys.modules.items())
        if place.startswith(("jobs.", "mixing.")) and hasattr(module, name)
    }
    (only,) = found
    return only


def keep_papers(folder: Path) -> None:
    """Facts, page and, of one of each kind, the printed words."""
    folder.mkdir()
    keep = _Kept(folder)
    for paper in apps.get_model("jobs.Paper").objects.order_by("pk"):
        keep.paper(paper, f"kept.{paper.number}.v{paper.version}")
    for order in apps.get_model("jobs.WorkOrder").objects.order_by("pk"):
        for kind in ("work_order", "mixing_sheet", "cut_list", "care"):
            # The other size of every other order.
            size = ("A4", "Letter")[order.pk % 2]
            about = {"workorder_pk": order.pk, "kind": kind, "size": size}
            keep.asked("paper.issue", f"{kind}.{order.number}", **about)
    for what, label in LABELS.items():
        for row in apps.get_model(label).objects.order_by("pk")[:MOST_LABELS]:
            subject = f"{what} {row.pk}"
            keep.asked("label.issue", f"label.{what}.{row.pk}", subject=subject)
    keep.asked("register.issue", "register")


class _Kept:
    """Writes papers into a folder."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.by = Person.objects.get(username="mara")
        self.printed: set[str] = set()

    def asked(self, name: str, file: str, **about: Any) -> None:
        """The paper that this press brings, or why it brings none."""
        now = apps.get_model("jobs.WorkOrder")._meta.get_field("arrived_at").default()
        with rolled_back():
            try:
                answer = perform(make_tap(self.by, at=now), ACTIONS[name], **about)
            except Refused as refused:
                said = "".join(f"{each}\n" for each in refused.reasons)
                (self.folder / f"{file}.refused.txt").write_text(said)
                return
            paper = apps.get_model("jobs.Paper").objects.get(pk=answer["pk"])
            self.paper(paper, file)

    def paper(self, paper: Any, file: str) -> None:
        """Its facts and its page."""
        facts = {
            "number": paper.number,
            "version": paper.version,
            "size": paper.size,
            "state": paper.state,
            "facts": paper.facts,
        }
        told = json.dumps(facts, indent=1, sort_keys=True, ensure_ascii=False)
        (self.folder / f"{file}.json").write_text(without_chance(told) + "\n")
        html = shops_own("paper_html")(paper)
        (self.folder / f"{file}.html").write_text(plain_html(html))
        if paper.kind not in self.printed:
            self.printed.add(paper.kind)
            words = words_of(bytes(pdf_from_html(html)))
            (self.folder / f"{file}.printed.txt").write_text(words)
