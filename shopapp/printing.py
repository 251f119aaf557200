"""HTML to PDF bytes: the only room that knows WeasyPrint.

Import this in a worker only: it needs Pango on the machine, and a document is too
slow for a request.
"""

from __future__ import annotations

import mimetypes
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import weasyprint
from django.conf import settings
from django.contrib.staticfiles import finders
from weasyprint.urls import FatalURLFetchingError, URLFetcher, URLFetcherResponse

HERE = "https://paper.invalid"
"""Where a paper stands, so that /static/ means something. No such host exists
(RFC 2606, section 2)."""


class Pdf(bytes):
    """A finished paper: its bytes, and how many pages it has."""

    pages: int


@dataclass(frozen=True, kw_only=True)
class Attachment:
    """A file inside the paper, such as its facts as JSON."""

    name: str
    data: bytes
    description: str


class OurStaticFiles(URLFetcher):  # type: ignore[misc]
    """Fetches our static files and what stands in the page itself; nothing else.

    Any other address stops the paper: whoever wrote it into a name or a note
    must not make the worker read a file or ask a host.
    """

    def __init__(self) -> None:
        super().__init__(allowed_protocols={"data"}, allow_redirects=False)

    def fetch(
        self, url: str, headers: dict[str, str] | None = None
    ) -> URLFetcherResponse:
        """The response for an address of ours."""
        if url.startswith("data:image/"):
            return super().fetch(url, headers)
        static = f"{HERE}{settings.STATIC_URL}"
        if not url.startswith(static):
            raise FatalURLFetchingError(f"a paper may not fetch {url[:80]}")
        name = url.removeprefix(static).partition("?")[0].partition("#")[0]
        found = finders.find(name)
        if not isinstance(found, str):
            raise FatalURLFetchingError(f"there is no static file {name[:80]}")
        kind = mimetypes.guess_type(name)[0] or "application/octet-stream"
        return URLFetcherResponse(
            url, body=Path(found).read_bytes(), headers={"Content-Type": kind}
        )


def pdf_from_html(html: str, *more: str, attachments: Sequence[Attachment] = ()) -> Pdf:
    """A tagged PDF (PDF/UA-1 tags) of a whole HTML page, or of several in one file."""
    options = {
        "pdf_variant": "pdf/ua-1",
        "pdf_tags": True,
        "attachments": [_attached(each) for each in attachments],
    }
    first, *others = [
        weasyprint.HTML(
            string=each, base_url=f"{HERE}/", url_fetcher=OurStaticFiles()
        ).render(**options)
        for each in (html, *more)
    ]
    document = first
    if others:
        documents = (first, *others)
        document = first.copy([page for each in documents for page in each.pages])
    pdf = Pdf(document.write_pdf(**options))
    pdf.pages = len(document.pages)
    return pdf


def _attached(attachment: Attachment) -> weasyprint.Attachment:
    return weasyprint.Attachment(
        string=attachment.data,
        name=attachment.name,
        description=attachment.description,
        relationship="Data",
    )
