"""The same screens in a browser on this machine, through the optional package textual-serve.

The library serves anybody who asks; this subclass answers this machine's own pages only: it listens on the loopback
address, and a request whose Host or Origin is another site's (a page elsewhere opening a connection here) is refused.
"""

from __future__ import annotations

import logging
import shlex
import sys
from collections.abc import Sequence
from typing import Any

from diag.support.errors import UserError

ADDRESS = "127.0.0.1"
WEB_DRIVER = "textual.drivers.web_driver:WebDriver"  # what the library tells the program it starts


def own_page(host: str, origin: str | None, port: int) -> bool:
    """Whether a request comes from our own page: its Host and, when there is one, its Origin name this address."""
    names = {f"{name}:{port}" for name in (ADDRESS, "localhost")}
    return host in names and (origin is None or origin in {f"http://{name}" for name in names})


def serve(arguments: Sequence[str], port: int) -> None:
    """Serve ``diag work`` with these arguments until it is interrupted.

    Raises:
        UserError: the optional package is missing, or the port cannot be.
    """
    if not 1024 <= port <= 65535:
        raise UserError(f"{port} is no port for this.", "Use one from 1024 to 65535, such as 8037.", "--browser")
    try:
        from aiohttp import web
        from textual_serve.server import Server
    except ModuleNotFoundError:
        raise UserError("The browser needs an extra package.", "Install it: pip install 'diag[web]'") from None

    class OwnPagesOnly(Server):  # type: ignore[misc,unused-ignore]
        """The library's server behind the check above."""

        def initialize_logging(self) -> None:
            """Warnings only; the library's own logging would print what was typed when something breaks."""
            logging.basicConfig(level="WARNING", format="%(message)s")

        async def _make_app(self) -> Any:
            app = await super()._make_app()

            @web.middleware  # type: ignore[untyped-decorator,unused-ignore]
            async def check(request: Any, handler: Any) -> Any:
                if not own_page(request.headers.get("Host", ""), request.headers.get("Origin"), port):
                    raise web.HTTPForbidden(text="Only this machine's own page may open this.")
                return await handler(request)

            app.middlewares.append(check)
            return app

    command = shlex.join([sys.executable, "-m", "diag", "work", *arguments])
    OwnPagesOnly(command, host=ADDRESS, port=port, title="diag").serve()
