"""An answer as text that can be compared."""

from __future__ import annotations

import hashlib
import io
from typing import Any

import pypdf

from tests.nets.plain_html import plain_html, plain_json, without_chance

NEW_EACH_TIME = {"content-length", "date", "etag", "expires", "last-modified"}
NEW_EACH_TIME |= {"set-cookie"}


def told(answer: Any) -> str:
    """Status, headers and body."""
    headers = sorted(
        f"{name}: {without_chance(value)}"
        for name, value in answer.items()
        if name.lower() not in NEW_EACH_TIME
    )
    return "\n".join([str(answer.status_code), *headers, "", body_of(answer)])


def body_of(answer: Any) -> str:
    """The body: a page line by line, a PDF by its words, a picture by its hash."""
    content = b"".join(answer) if answer.streaming else answer.content
    kind = answer.get("Content-Type", "").split(";")[0]
    if kind == "text/html":
        return plain_html(content.decode())
    if kind == "application/json":
        return plain_json(content.decode())
    if kind == "application/pdf":
        return words_of(content)
    if kind.startswith("text/") or kind == "image/svg+xml" or not content:
        return without_chance(content.decode())
    return f"sha256 {hashlib.sha256(content).hexdigest()}\n"


def words_of(pdf: bytes) -> str:
    """The words of each page."""
    pages = pypdf.PdfReader(io.BytesIO(pdf)).pages
    found = [f"-- page {at}\n{page.extract_text()}" for at, page in enumerate(pages, 1)]
    return without_chance("\n".join(found)) + "\n"
