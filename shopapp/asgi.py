"""The way in for a web server: the live stream on one path, Django on the rest."""

from __future__ import annotations

import os
import warnings

from django.core.asgi import get_asgi_application

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "shopapp.settings")
# Static files are read from the disk in small parts; that they are not read
# asynchronously is known and measured.
warnings.filterwarnings("ignore", message="StreamingHttpResponse must consume sync")
django = get_asgi_application()

from shopapp.live import Live, Receive, Scope, Send  # noqa: E402 - needs Django set up

live = Live(render_floor="jobs.path.pages.board_fragment")


async def application(scope: Scope, receive: Receive, send: Send) -> None:
    """One ASGI application for the shop."""
    if scope["type"] == "lifespan":
        await live.lifespan(receive, send)
    elif scope["type"] == "http" and scope["path"] == "/live/":
        await live(scope, receive, send)
    else:
        await django(scope, receive, send)  # type: ignore[arg-type]
