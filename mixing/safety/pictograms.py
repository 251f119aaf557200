"""The pictograms of the Globally Harmonized System, drawn by us as SVG (pure).

A black symbol on white in a red square set on its point. The symbols are those of the
UN's GHS, annex 1; the drawing is our own.
"""

from __future__ import annotations

from collections.abc import Mapping

RED = "#d2001a"

_FLAME = (
    '<path d="M51 17 C53 27 64 33 66 46 C67 54 63 61 57 65 L60 65 C62 61 61 55 57 51 '
    "C57 56 54 58 53 55 C51 50 54 46 51 40 C50 46 44 49 42 54 C40 59 42 63 44 65 "
    "L40 65 C35 61 33 56 34 50 C35 44 38 42 39 36 C41 38 42 41 42 44 C47 38 50 30 "
    '51 17 Z"/><path d="M33 69 H67 V74 H33 Z"/>'
)
_EXCLAMATION = (
    '<path d="M50 20 C55 20 58 24 57 30 L53.5 58 C53 62 47 62 46.5 58 L43 30 '
    'C42 24 45 20 50 20 Z"/><circle cx="50" cy="71" r="5.6"/>'
)
_CORROSION = (
    # A tube pours on a hand and on a slab; both are eaten away.
    '<path d="M20 44 L41 32 L43.5 36.500 L22.500 48.500 Z"/>'
    '<path d="M80 44 L59 32 L56.500 36.500 L77.500 48.500 Z"/>'
    '<path d="M42 39 L44.500 43 L42.500 45 Z"/><path d="M40 48 C42 51 42 53 40 53.500 '
    'C38 53 38 51 40 48 Z"/><path d="M40 56 C42 59 42 61 40 61.500 C38 61 38 59 40 56 '
    'Z"/><path d="M60 48 C62 51 62 53 60 53.500 C58 53 58 51 60 48 Z"/>'
    '<path d="M60 56 C62 59 62 61 60 61.500 C58 61 58 59 60 56 Z"/>'
    '<path d="M27 64 H36 L38 67 L40 64.500 L43 68 L45 64 H49 V71 H27 Z"/>'
    '<path d="M53 66 C56 63 58 64 59 67 L61 65 L63 68 C66 64 71 62 75 61 L77 64 '
    'C72 67 68 71 62 71 H53 Z"/>'
)
SYMBOLS: Mapping[str, str] = {
    "GHS02": _FLAME,
    "GHS05": _CORROSION,
    "GHS07": _EXCLAMATION,
}
PICTOGRAMS: Mapping[str, str] = {
    "GHS02": "Pictogram: flame",
    "GHS05": "Pictogram: corrosion",
    "GHS07": "Pictogram: exclamation mark",
}


def pictogram_svg(code: str) -> str:
    """One pictogram as an inline SVG element.

    Raises LookupError for a code that no liquid of a film shop carries.
    """
    symbol = SYMBOLS[code]
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" class="ghs" role="img" '
        f'aria-label="{PICTOGRAMS[code]}" viewBox="0 0 100 100">'
        f'<path d="M50 3 L97 50 L50 97 L3 50 Z" fill="#ffffff" stroke="{RED}" '
        f'stroke-width="5"/><g fill="#000000">{symbol}</g></svg>'
    )
