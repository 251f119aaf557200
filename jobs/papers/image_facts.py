"""Drawings on paper as images: the page engine then reads them once, without styles."""

from __future__ import annotations

from base64 import b64encode

from django.utils.html import format_html
from django.utils.safestring import SafeString

NAMESPACE = 'xmlns="http://www.w3.org/2000/svg"'


def image_of(svg: str, *, alt: str, css: str = "") -> SafeString:
    """An image element for a drawing, in the paper's letters.

    alt  what is read out in its place
    css  its class
    """
    told = svg.replace('font-family="sans-serif"', 'font-family="Inter"')
    if NAMESPACE not in told:
        told = told.replace("<svg", f"<svg {NAMESPACE}", 1)
    return format_html(
        '<img class="{}" alt="{}" src="data:image/svg+xml;base64,{}">',
        css,
        alt,
        b64encode(told.encode()).decode(),
    )
