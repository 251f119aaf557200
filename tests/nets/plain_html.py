"""A page without what differs each time: a tag or a text a line, attributes by name."""

from __future__ import annotations

import json
import re
from html.parser import HTMLParser

SECRET = {"csrfmiddlewaretoken", "key"}
"""Hidden fields that are new on every page."""
INLINE = {"a", "abbr", "b", "button", "code", "em", "i", "img", "input", "kbd", "label"}
INLINE |= {"output", "s", "small", "span", "strong", "sub", "sup", "svg", "time"}
"""Beside these a space is seen."""
HASHED = re.compile(r"\.[0-9a-f]{12}(\.(?:css|js|svg|png|woff2|webmanifest))")
CSRF = re.compile(r'("X-CSRFToken"\s*:\s*")[^"]*')
UUID = re.compile(
    r"\b[0-9a-f]{8}-?[0-9a-f]{4}-?4[0-9a-f]{3}-?[89ab][0-9a-f]{3}-?[0-9a-f]{12}\b"
)
SIGNED = re.compile(r":[0-9A-Za-z]{6}:[\w-]{43}")
"""Signed with the moment, as Django signs (django.core.signing)."""

SALTED = re.compile(r"\b(pbkdf2_\w+|argon2\w*)\$[\w$+/=.,-]+")
SOCKET = re.compile(r"[\w/.-]+/redis\.sock")


def without_chance(text: str) -> str:
    """The text without hashes of files and passwords, tokens, keys, own folders.

    >>> without_chance("/static/shop.0123456789ab.css")
    '/static/shop.*.css'
    """
    text = HASHED.sub(r".*\1", text)
    text = CSRF.sub(r"\1*", text)
    text = SIGNED.sub(":*:*", text)
    text = SALTED.sub(r"\1$*", text)
    text = SOCKET.sub("*/redis.sock", text)
    return UUID.sub("*key*", text)


def plain_json(text: str) -> str:
    """JSON with its names in order."""
    found = json.dumps(json.loads(text), indent=1, sort_keys=True, ensure_ascii=False)
    return without_chance(found) + "\n"


def plain_html(text: str) -> str:
    """The page, a tag or a text a line.

    >>> print(plain_html('<p id="x" class="a  b">One\\n two <b>3</b></p>'), end="")
    <p class="a b" id="x">
    One two·
    <b>
    3
    </b>
    </p>
    """
    lines = _Lines()
    lines.feed(text)
    lines.close()
    return without_chance("".join(f"{line}\n" for line in lines.told()))


class _Lines(HTMLParser):
    """Collects the lines; a space that is seen at the end of a text is a dot."""

    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.parts: list[tuple[str, str]] = []

    def told(self) -> list[str]:
        """Texts with the spaces that are seen, everything else as it stands."""
        kinds = [kind for kind, _ in self.parts]
        found = []
        for at, (kind, text) in enumerate(self.parts):
            if kind != "text":
                found.append(text)
                continue
            left, right = (kinds[at - 1] if at else ""), (kinds + [""])[at + 1]
            words = " ".join(text.split())
            before = "·" if left == "inline" and text[:1].isspace() else ""
            after = "·" if right == "inline" and text[-1:].isspace() else ""
            if words:
                found.append(f"{before}{words}{after}")
            elif before and after:
                found.append("·")
        return found

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        known = dict(attrs)
        if tag == "input" and known.get("name") in SECRET:
            known["value"] = "*"
        if tag == "meta" and known.get("name") == "server-time":
            known["content"] = "*"
        told = "".join(
            f" {name}" if value is None else f' {name}="{" ".join(value.split())}"'
            for name, value in sorted(known.items())
        )
        self._tag(tag, f"<{tag}{told}>")

    def handle_endtag(self, tag: str) -> None:
        self._tag(tag, f"</{tag}>")

    def _tag(self, tag: str, text: str) -> None:
        self.parts.append(("inline" if tag in INLINE else "block", text))

    def handle_data(self, data: str) -> None:
        if self.parts and self.parts[-1][0] == "text":
            data = self.parts.pop()[1] + data
        self.parts.append(("text", data))

    def handle_decl(self, decl: str) -> None:
        self.parts.append(("block", f"<!{decl}>"))
