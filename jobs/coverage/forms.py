"""Coverage on a form: a plain list of panels, each with its choices."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from enum import StrEnum
from typing import Any, TypeVar

from django import forms
from django.forms.boundfield import BoundField
from django.http import QueryDict
from django.utils.translation import gettext_lazy as _

from jobs.bookings.models import choices_of
from jobs.coverage.car_drawing import DrawnPanel
from jobs.coverage.catalogue import (
    Badge,
    Body,
    Edge,
    Method,
    Package,
    PanelChoice,
    Seam,
    package_panels,
    panel_name,
    panels,
)

E = TypeVar("E", bound=StrEnum)
ZONES = {
    "front": _("Front"),
    "side": _("Sides"),
    "top": _("Top"),
    "rear": _("Rear"),
}
AS_ABOVE = ("", _("as above"))


@dataclass(frozen=True, kw_only=True)
class PanelRow:
    """One panel of the list."""

    name: str
    tick: BoundField
    method: BoundField
    edge: BoundField
    badge: BoundField
    seam: BoundField
    where: BoundField


class CoverageFields(forms.Form):
    """A package ticks its panels; every panel can be ticked or left by hand.

    `package_shown` remembers whose panels the list shows, so that another package
    brings its own and what was ticked beside it stays.
    """

    package = forms.ChoiceField(label=_("Package"), choices=choices_of(Package))
    package_shown = forms.CharField(required=False, widget=forms.HiddenInput)
    method = forms.ChoiceField(label=_("Film is"), choices=choices_of(Method))

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for code, panel in panels().items():
            self.fields[f"panel_{code}"] = forms.BooleanField(required=False)
            choices: dict[str, list[Any]] = {
                "method": [AS_ABOVE, *choices_of(Method)],
                "edge": choices_of(Edge),
                "badge": choices_of(Badge),
                "seam": choices_of(Seam),
            }
            for kind, options in choices.items():
                self.fields[f"{kind}_{code}"] = forms.ChoiceField(
                    choices=options, required=False
                )
            self.fields[f"edge_{code}"].initial = panel.edge.value
            self.fields[f"where_{code}"] = forms.CharField(
                required=False, max_length=120
            )

    def rows(self) -> list[tuple[str, list[PanelRow]]]:
        """The panels of the car's body by zone, for the page."""
        body = self.body_shown()
        by_zone: dict[str, list[PanelRow]] = {zone: [] for zone in ZONES}
        for code, panel in panels().items():
            if body in panel.bodies or self[f"panel_{code}"].value():
                by_zone[panel.zone].append(self._row(code, body=body))
        return [(str(ZONES[zone]), rows) for zone, rows in by_zone.items()]

    def drawn(self) -> list[DrawnPanel]:
        """The chosen panels for the drawn car, which shows the body's own."""
        return [
            DrawnPanel(
                panel=code,
                edge=_known(Edge, self[f"edge_{code}"].value(), panel.edge),
                badge=_known(Badge, self[f"badge_{code}"].value(), Badge.NONE),
                seam=_known(Seam, self[f"seam_{code}"].value(), Seam.NONE),
            )
            for code, panel in panels().items()
            if self.body_shown() in panel.bodies and self[f"panel_{code}"].value()
        ]

    def _row(self, code: str, *, body: Body) -> PanelRow:
        return PanelRow(
            name=panel_name(code, body=body),
            tick=self[f"panel_{code}"],
            method=self[f"method_{code}"],
            edge=self[f"edge_{code}"],
            badge=self[f"badge_{code}"],
            seam=self[f"seam_{code}"],
            where=self[f"where_{code}"],
        )

    def body_shown(self) -> Body:
        """The body as chosen so far."""
        value = str(self["body"].value() or "")
        return Body(value) if value in set(Body) else Body.SEDAN

    def ticked(self) -> set[str]:
        """The codes of the panels that are chosen so far."""
        return {code for code in panels() if self[f"panel_{code}"].value()}

    def is_as_usual(self) -> bool:
        """Whether it is the package's own list, each panel finished as mostly."""
        package = str(self["package_shown"].value() or self["package"].value() or "")
        ticked = self.ticked()
        if not ticked or ticked != set(_panels_of(package, body=self.body_shown())):
            return False
        return all(self._is_usual(code) for code in ticked)

    def _is_usual(self, code: str) -> bool:
        usual = {
            "method": ("",),
            "edge": ("", panels()[code].edge.value),
            "badge": ("", Badge.NONE.value),
            "seam": ("", Seam.NONE.value),
            "where": ("",),
        }
        return all(
            str(self[f"{kind}_{code}"].value() or "") in known
            for kind, known in usual.items()
        )

    def chosen(self) -> tuple[PanelChoice, ...]:
        """The ticked panels with their choices."""
        cleaned = self.cleaned_data
        return tuple(
            PanelChoice(
                panel=code,
                method=Method(cleaned.get(f"method_{code}") or cleaned["method"]),
                edge=Edge(cleaned.get(f"edge_{code}") or panel.edge),
                badge=Badge(cleaned.get(f"badge_{code}") or Badge.NONE),
                seam=Seam(cleaned.get(f"seam_{code}") or Seam.NONE),
                seam_at=cleaned.get(f"where_{code}", ""),
            )
            for code, panel in panels().items()
            if cleaned.get(f"panel_{code}")
        )

    def clean_package(self) -> Package:
        """The package itself."""
        return Package(self.cleaned_data["package"])


def _known(codes: type[E], typed: object, otherwise: E) -> E:
    text = str(typed or "")
    return codes(text) if text in set(codes) else otherwise


def with_package(typed: QueryDict, *, prefix: str = "") -> QueryDict:
    """What was typed, with the panels of the package that was chosen.

    Panels of the package shown before go, what was ticked beside it stays.

    prefix  before the names of one of several coverages of the same car, "a-"
    """
    wanted = typed.get(f"{prefix}package", "")
    shown = typed.get(f"{prefix}package_shown", "")
    body = typed.get("body", "")
    if wanted == shown or wanted not in set(Package) or body not in set(Body):
        return typed
    changed = typed.copy()
    for code in _panels_of(shown, body=Body(body)):
        changed.pop(f"{prefix}panel_{code}", None)
    for code in _panels_of(wanted, body=Body(body)):
        changed[f"{prefix}panel_{code}"] = "on"
    changed[f"{prefix}package_shown"] = wanted
    return changed


def _panels_of(package: str, *, body: Body) -> tuple[str, ...]:
    known = package in set(Package)
    return package_panels(Package(package), body=body) if known else ()


def coverage_initial(
    package: Package, choices: Iterable[Any], *, method: Method
) -> dict[str, Any]:
    """A coverage on the form: rows of a booking or choices of a package."""
    initial: dict[str, Any] = {
        "package": package.value,
        "package_shown": package.value,
        "method": method.value,
    }
    for choice in choices:
        own = "" if choice.method == method else str(choice.method)
        initial |= {
            f"panel_{choice.panel}": True,
            f"method_{choice.panel}": own,
            f"edge_{choice.panel}": str(choice.edge),
            f"badge_{choice.panel}": str(choice.badge),
            f"seam_{choice.panel}": str(choice.seam),
            f"where_{choice.panel}": getattr(choice, "note", ""),
        }
    return initial


def most_used(choices: Iterable[Any]) -> Method:
    """The method that stands over the list, so that few rows say their own."""
    counted: Mapping[str, int] = {}
    methods = [str(choice.method) for choice in choices]
    counted = {method: methods.count(method) for method in methods}
    return Method(max(counted, key=lambda m: counted[m], default=Method.HAND_FITTED))
