"""What was kept and cannot be shown is told in a sentence, not guessed at."""

from __future__ import annotations

from collections.abc import Callable

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from shopapp.documents import TooNewError
from shopapp.media import Damaged


class NewerDocumentMiddleware:
    """Show the sentence where a newer version's document, or a damaged file, is met."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        return self.get_response(request)

    def process_exception(
        self, request: HttpRequest, wrong: Exception
    ) -> HttpResponse | None:
        """409: what is kept and this program do not go together. 410: it is lost."""
        if isinstance(wrong, Damaged):
            return render(request, "410.html", {"sentence": str(wrong)}, status=410)
        if not isinstance(wrong, TooNewError):
            return None
        return render(request, "409.html", {"sentence": str(wrong)}, status=409)
