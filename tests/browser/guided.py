"""The guided mix as a person with wet hands does it: one touch after the other."""

from __future__ import annotations

import re
from dataclasses import dataclass, field

from playwright.sync_api import Locator

from tests.browser.conftest import Hands

POURED = re.compile("^Poured [0-9]")
MIX = re.compile("^Mix (more )?slip$")
TARGETS = ", ".join(
    f"main {each}:visible"
    for each in ("button", "a.button", ".choice", "details.more > summary")
)
LEAST_PX = 48
"""Of what a wet finger touches: design.md section 10, the style's `--touch`."""


@dataclass
class Mixed:
    """What was poured, pour by pour, and what the pages looked like."""

    poured: list[str] = field(default_factory=list)
    vessels: list[int] = field(default_factory=list)
    small: list[str] = field(default_factory=list)
    wide: list[str] = field(default_factory=list)
    digits_px: list[float] = field(default_factory=list)


def mix_all(installer: Hands, *, slip_bottles: int = 0) -> Mixed:
    """Every solution that this shop mixes, from the open sheet; the first as asked for.

    slip_bottles  how many are filled the same; 0: as many as the page proposes
    """
    done = Mixed()
    page = installer.page.locator("main")
    look(installer, done)
    installer.shot("sheet")
    installer.step(page.get_by_role("link", name=MIX).first)
    fill = page.get_by_role("button", name="Fill these the same")
    # A batch that is kept leads on to the next solution while there is one.
    while fill.count():
        chosen = page.locator("input[name=vessels]:checked")
        while not done.vessels and chosen.count() < slip_bottles:
            installer.tap(page.locator("label:has(input[name=vessels]:not(:checked))"))
        done.vessels.append(chosen.count())
        look(installer, done)
        installer.shot("vessels")
        installer.press("Fill these the same")
        while (pour := page.get_by_role("button", name=POURED)).count():
            done.poured.append(pour.inner_text())
            look(installer, done)
            done.digits_px.append(_digits_px(page.locator(".mix-now .pour")))
            installer.shot("pour")
            installer.step(pour)
        look(installer, done)
        installer.press("keep the batch")
    installer.shot("mixed")
    return done


def rinse_all(installer: Hands) -> None:
    """Every vessel is clean again."""
    installer.go("/mixing/")
    boxes = installer.page.locator("main input[name=vessels]")
    if boxes.count():
        for box in boxes.all():
            box.check()
        installer.press("Emptied and rinsed")


def look(hands: Hands, done: Mixed) -> None:
    """Write down each target that is too small, and a page that scrolls sideways."""
    for target in hands.page.locator(TARGETS).all():
        box = target.bounding_box()
        if box and min(box["width"], box["height"]) < LEAST_PX - 0.5:
            done.small.append(f"{target.inner_text()!r} {box}")
    size = hands.page.viewport_size
    wide = hands.page.locator("html").evaluate("each => each.scrollWidth")
    if size and wide > size["width"]:
        done.wide.append(f"{hands.path}: {wide} px")


def _digits_px(amount: Locator) -> float:
    return float(amount.evaluate("each => parseFloat(getComputedStyle(each).fontSize)"))
