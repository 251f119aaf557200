"""The way in for a web server: the live stream on one path, Django on the rest."""

from __future__ import annotations

import os
import warnings

from django.conf import settings
from django.core.asgi import get_asgi_application
from django.http.request import split_domain_port, validate_host

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "shopapp.settings")
# Static files are read from the disk in small parts; that they are not read
# asynchronously is known and measured.
warnings.filterwarnings("ignore", message="StreamingHttpResponse must consume sync")
django = get_asgi_application()

from shopapp.bodies import Bounded  # noqa: E402 - needs Django set up
from shopapp.live import Live, Receive, Scope, Send, refuse  # noqa: E402

live = Live(render_floor="jobs.path.pages.board_fragment")
bounded = Bounded(
    django,  # type: ignore[arg-type]
    known=["shopapp.bodies.is_signed_in", "jobs.public.link_queries.is_by_link"],
)


async def application(scope: Scope, receive: Receive, send: Send) -> None:
    """One ASGI application for the shop."""
    if scope["type"] == "lifespan":
        await live.lifespan(receive, send)
    elif scope["type"] == "http" and scope["path"] == "/live/":
        await (live(scope, receive, send) if is_our_host(scope) else refuse(send))
    else:
        await bounded(scope, receive, send)


def is_our_host(scope: Scope) -> bool:
    """Django asks this for every page; the stream passes it by."""
    host = dict(scope["headers"]).get(b"host", b"").decode("latin-1")
    return validate_host(split_domain_port(host)[0], settings.ALLOWED_HOSTS)
