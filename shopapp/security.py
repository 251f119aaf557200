"""What every response and every request needs: the content policy and the zone."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.utils import timezone
from django.utils.functional import SimpleLazyObject

from shopapp.models import the_shop
from shopapp.once import one_page

GetResponse = Callable[[HttpRequest], HttpResponse]

POLICY = "; ".join(
    [
        "default-src 'none'",
        "script-src 'self'",
        "style-src 'self'",
        "img-src 'self' data: blob:",
        "font-src 'self'",
        "connect-src 'self'",
        "manifest-src 'self'",
        "worker-src 'self'",
        "form-action 'self'",
        "frame-ancestors 'none'",
        "base-uri 'none'",
    ]
)
"""No inline script and no inline style, from the first page on."""


class ContentSecurityMiddleware:
    """Put the content policy on every response that has none of its own."""

    def __init__(self, get_response: GetResponse) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        response = self.get_response(request)
        response.headers.setdefault("Content-Security-Policy", POLICY)
        # Names and phones: a browser may show them again only after asking.
        response.headers.setdefault("Cache-Control", "private, no-cache")
        response.headers.setdefault("Cross-Origin-Opener-Policy", "same-origin")
        response.headers.setdefault(
            "Permissions-Policy", "camera=(self), geolocation=(), microphone=()"
        )
        return response


class CharsetMiddleware:
    """Our pages are UTF-8, and so is what a browser sends from them."""

    def __init__(self, get_response: GetResponse) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        named = (request.content_params or {}).get("charset", "utf-8")
        if named.strip().lower() not in {"utf-8", "utf8", "us-ascii"}:
            return HttpResponse("Send this as UTF-8.", "text/plain", status=415)
        return self.get_response(request)


class ShopZoneMiddleware:
    """Show times in the shop's zone, and put the shop on the request."""

    def __init__(self, get_response: GetResponse) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        request.shop = SimpleLazyObject(the_shop)  # type: ignore[attr-defined]
        try:
            with one_page():
                return self.get_response(request)
        finally:
            timezone.deactivate()

    def process_view(
        self,
        request: HttpRequest,
        view: Callable[..., HttpResponseBase],
        args: list[Any],
        kwargs: dict[str, Any],
    ) -> None:
        """Ask for the shop's row only where a page may show a time."""
        if not getattr(view, "without_shop", False):
            timezone.activate(request.shop.zone)  # type: ignore[attr-defined]
