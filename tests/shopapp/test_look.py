"""The look keeps its promises: contrast, icons that exist, nothing inline."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from django.template.loader import render_to_string

ROOT = Path(__file__).resolve().parents[2]
STATIC = ROOT / "shopapp" / "static" / "shopapp"
TEMPLATES = sorted((ROOT / "templates").rglob("*.html"))
SCREENS = [path for path in TEMPLATES if "papers" not in path.parts]
STYLE = (STATIC / "style.css").read_text()


def names(path: Path) -> str:
    return str(path.relative_to(ROOT))


def scheme(opening: str) -> dict[str, str]:
    """The colours of one block of custom properties."""
    block = STYLE[STYLE.index(opening) :]
    block = block[: block.index("}")]
    return dict(re.findall(r"--([a-z-]+): (#[0-9a-f]{6});", block))


SCHEMES = {
    "light": scheme(":root {\n  color-scheme: light"),
    "dark by device": scheme(':root:not([data-theme="light"]) {'),
    "dark by choice": scheme(':root[data-theme="dark"] {'),
}


def luminance(colour: str) -> float:
    """Relative luminance, WCAG 2.2, section "relative luminance"."""
    parts = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    red, green, blue = (
        part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4
        for part in parts
    )
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    """Contrast ratio, WCAG 2.2, section "contrast ratio"."""
    light, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def test_black_on_white_has_the_published_contrast():
    # WCAG 2.2: "Contrast ratios can range from 1 to 21".
    assert contrast("#000000", "#ffffff") == pytest.approx(21)


TEXT = [
    *((ink, ground) for ink in ("ink", "muted") for ground in ("ground", "surface")),
    ("ink", "sunk"),
    ("muted", "sunk"),
    ("accent", "ground"),
    ("accent", "surface"),
    ("accent", "accent-soft"),
    ("on-accent", "accent"),
    ("on-accent", "accent-strong"),
    *((tone, f"{tone}-soft") for tone in ("ok", "warn", "stop", "wait")),
    *(("ink", f"{tone}-soft") for tone in ("ok", "warn", "stop", "wait", "accent")),
    *(("muted", f"{tone}-soft") for tone in ("ok", "warn", "stop", "wait")),
    ("stop", "surface"),
    ("stop", "ground"),
]


@pytest.mark.parametrize("name", SCHEMES)
@pytest.mark.parametrize(("ink", "ground"), TEXT)
def test_text_reaches_the_contrast_of_level_aa(name, ink, ground):
    # WCAG 2.2, success criterion 1.4.3: 4.5:1.
    colours = SCHEMES[name]
    assert contrast(colours[ink], colours[ground]) >= 4.5


@pytest.mark.parametrize("name", SCHEMES)
@pytest.mark.parametrize("ground", ["ground", "surface"])
def test_edges_of_fields_reach_the_contrast_of_controls(name, ground):
    # WCAG 2.2, success criterion 1.4.11: 3:1.
    colours = SCHEMES[name]
    assert contrast(colours["field"], colours[ground]) >= 3


def test_dark_is_the_same_by_device_and_by_choice():
    assert SCHEMES["dark by device"] == SCHEMES["dark by choice"]


INLINE = re.compile(
    r"<style\b|\sstyle\s*=|\son[a-z]+\s*=|\shx-on\b|<script(?![^>]*\bsrc=)|javascript:",
    re.I,
)


@pytest.mark.parametrize("path", SCREENS, ids=names)
def test_a_screen_has_no_inline_script_or_style(path):
    assert not INLINE.findall(path.read_text())


def test_the_inline_check_sees_what_it_looks_for():
    bad = '<p style="a"><a onclick="b"><script>c</script><style>'
    assert len(INLINE.findall(bad)) == 4


def test_every_icon_named_in_a_template_is_drawn():
    drawn = set(
        re.findall(r'<symbol id="([a-z]+)"', (STATIC / "icons.svg").read_text())
    )
    asked = {
        (names(path), icon)
        for path in TEMPLATES
        for icon in re.findall(r'"_icon\.html" with name="([^"]+)"', path.read_text())
    }
    assert drawn
    assert {pair for pair in asked if pair[1] not in drawn} == set()


@pytest.mark.parametrize("sheet", ["style.css", "print.css"])
def test_every_file_that_a_sheet_names_is_shipped(sheet):
    files = re.findall(r'url\("([^"#]+)"\)', (STATIC / sheet).read_text())
    assert files
    assert [name for name in files if not (STATIC / name).exists()] == []


@pytest.mark.parametrize(
    "page", ["base.html", "public/base.html", "papers/base_print.html", "500.html"]
)
def test_a_base_renders_without_any_context(page):
    assert "</html>" in render_to_string(page)
