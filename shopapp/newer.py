"""What a newer version of the program kept is refused in a sentence, not guessed at."""

from __future__ import annotations

from collections.abc import Callable

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from shopapp.documents import TooNewError


class NewerDocumentMiddleware:
    """Show the sentence where a page or a press met such a document."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        return self.get_response(request)

    def process_exception(
        self, request: HttpRequest, wrong: Exception
    ) -> HttpResponse | None:
        """409: what is kept and this program do not go together."""
        if not isinstance(wrong, TooNewError):
            return None
        return render(request, "409.html", {"sentence": str(wrong)}, status=409)
