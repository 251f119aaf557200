"""A page as a browser reads it: links, forms and what they would send."""

from __future__ import annotations

from dataclasses import dataclass, field
from html.parser import HTMLParser
from urllib.parse import urljoin, urlsplit

VOID = {"area", "base", "br", "col", "embed", "hr", "img", "input", "link", "meta"}
VOID |= {"source", "track", "wbr"}
RUNS_BY_TYPE = {"", "module", "text/javascript"}


@dataclass
class ReadForm:
    """One form: where it goes, what it sends as it stands, which buttons it has."""

    action: str
    method: str
    data: dict[str, list[str]] = field(default_factory=dict)
    buttons: list[tuple[str, str]] = field(default_factory=list)
    is_open: bool = True

    def put(self, name: str | None, value: str) -> None:
        """What a successful control adds."""
        if name:
            self.data.setdefault(name, []).append(value)


class ReadPage(HTMLParser):
    """Reads one page once; what is wrong with it stands in `faults`."""

    def __init__(self, text: str, *, url: str) -> None:
        super().__init__()
        self.url = url
        self.lang = ""
        self.title = ""
        self.headings = 0
        self.ids: list[str] = []
        self.hrefs: list[str] = []
        self.asks: list[str] = []
        self.forms: list[ReadForm] = []
        self.faults: list[str] = []
        self._open: list[str] = []
        self._form: ReadForm | None = None
        self._choice: tuple[str | None, bool, list[tuple[str, bool]]] | None = None
        self._text: tuple[str | None, list[str]] | None = None
        self.feed(text)
        self.close()

    def form(self, action: str) -> ReadForm | None:
        """The first form with this action whose button can be pressed."""
        found = [f for f in self.forms if f.action == action and f.method == "post"]
        return next((f for f in found if f.is_open), found[0] if found else None)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        known = {name: value or "" for name, value in attrs}
        if tag not in VOID:
            self._open.append(tag)
        self._judge(tag, known)
        self.lang = known.get("lang", "") if tag == "html" else self.lang
        self.headings += tag == "h1"
        self._link(tag, known)
        self._control(tag, known)

    def _judge(self, tag: str, known: dict[str, str]) -> None:
        if "id" in known:
            self.ids.append(known["id"])
        if "style" in known or tag == "style":
            self.faults.append(f"an inline style on <{tag}>")
        runs = known.get("type", "") in RUNS_BY_TYPE
        if tag == "script" and not known.get("src") and runs:
            self.faults.append("an inline script")
        for name in known:
            if name.startswith("on") or name.startswith("hx-on"):
                self.faults.append(f"{name} on <{tag}>")
        if tag == "img" and "alt" not in known:
            self.faults.append(f"an image without words: {known.get('src')}")

    def _link(self, tag: str, known: dict[str, str]) -> None:
        if tag == "a" and "href" in known:
            self.hrefs.append(urljoin(self.url, known["href"]))
        if tag in {"img", "script", "iframe", "object"} and known.get("src"):
            self.hrefs.append(urljoin(self.url, known["src"]))
        if tag == "link" and known.get("href"):
            self.hrefs.append(urljoin(self.url, known["href"]))
        for name in ("hx-get", "hx-post"):
            if name in known:
                self.asks.append(urljoin(self.url, known[name] or self.url))

    def _control(self, tag: str, known: dict[str, str]) -> None:
        name = known.get("name")
        if tag == "form":
            action = urljoin(self.url, known.get("action", "") or self.url)
            self._form = ReadForm(action, known.get("method", "get").lower())
            self.forms.append(self._form)
        if self._form is None or "disabled" in known:
            if self._form is not None and tag == "button":
                self._form.is_open = False
            return
        if tag == "input":
            self._input(known, name)
        elif tag == "select":
            self._choice = (name, "multiple" in known, [])
        elif tag == "option" and self._choice:
            self._choice[2].append((known.get("value", ""), "selected" in known))
        elif tag == "textarea":
            self._text = (name, [])
        elif tag == "button":
            self._button(known, name)

    def _button(self, known: dict[str, str], name: str | None) -> None:
        assert self._form is not None
        if name:
            self._form.buttons.append((name, known.get("value", "")))
        if "formaction" in known:
            # The same fields, sent elsewhere.
            there = urljoin(self.url, known["formaction"])
            method = known.get("formmethod", self._form.method)
            self.forms.append(ReadForm(there, method, self._form.data))

    def _input(self, known: dict[str, str], name: str | None) -> None:
        kind = known.get("type", "text")
        assert self._form is not None
        if kind in {"checkbox", "radio"}:
            if "checked" in known:
                self._form.put(name, known.get("value", "on"))
        elif kind not in {"submit", "button", "reset", "file", "image"}:
            self._form.put(name, known.get("value", ""))

    def handle_endtag(self, tag: str) -> None:
        if tag in self._open:
            while self._open.pop() != tag:
                pass
        elif tag not in VOID:
            self.faults.append(f"</{tag}> closes nothing")
        if tag == "form":
            self._form = None
        elif tag == "select" and self._choice and self._form:
            self._choose()
        elif tag == "textarea" and self._text and self._form:
            self._form.put(self._text[0], "".join(self._text[1]).removeprefix("\n"))
            self._text = None

    def _choose(self) -> None:
        assert self._choice
        assert self._form
        name, many, options = self._choice
        chosen = [value for value, is_chosen in options if is_chosen]
        if not chosen and options and not many:
            chosen = [options[0][0]]
        for value in chosen:
            self._form.put(name, value)
        self._choice = None

    def handle_data(self, data: str) -> None:
        if self._open and self._open[-1] == "title" and "svg" not in self._open:
            self.title += data
        if self._text:
            self._text[1].append(data)

    @property
    def links(self) -> list[str]:
        """Paths of this site that the page leads to, query kept, fragment cut."""
        own = urlsplit(self.url).netloc
        found = []
        for href in self.hrefs:
            parts = urlsplit(href)
            if parts.netloc == own and parts.scheme in {"", "http", "https"}:
                path = parts.path + (f"?{parts.query}" if parts.query else "")
                found.append(path)
        return list(dict.fromkeys(found))
