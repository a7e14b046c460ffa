"""The same screens in a browser on this machine, through the optional package textual-serve.

The library serves anybody who asks, with a page that fetches from elsewhere; this subclass has a page of its own,
answers only the browser that came with the key from the printed address, and bounds what one page may ask for.
"""

from __future__ import annotations

import json
import logging
import shlex
import sys
from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from diag.support.errors import UserError
from diag.ui.tui.browser_page import (
    ADDRESS,
    COOKIE,
    LONGEST_MESSAGE,
    MOST_SESSIONS,
    PAGE,
    STYLE,
    Guard,
    headers,
    own_page,
    size_of,
)

if TYPE_CHECKING:
    from aiohttp import web
    from textual_serve.app_service import AppService


def serve(arguments: Sequence[str], port: int) -> None:
    """Serve ``diag work`` with these arguments until it is interrupted.

    Raises:
        UserError: the optional package is missing, or the port cannot be.
    """
    if not 1024 <= port <= 65535:
        raise UserError(f"{port} is no port for this.", "Use one from 1024 to 65535, such as 8037.", "--browser")
    try:
        # an extra, only with --browser
        from textual_serve.server import Server
    except ModuleNotFoundError:
        raise UserError("The browser needs an extra package.", "Install it: pip install 'diag[web]'") from None
    command = shlex.join([sys.executable, "-m", "diag", "work", *arguments])
    _guarded(Server)(command, host=ADDRESS, port=port, title="diag").serve()


def _guarded(library: type[Any]) -> type[Any]:
    """The library's server behind our guard; made here because the package may be missing."""
    # an extra, only with --browser
    from aiohttp import WSMsgType, web
    from textual_serve.app_service import AppService

    class GuardedServer(library):  # type: ignore[misc]
        """One person's own page."""

        def __init__(self, *arguments: Any, **more: Any) -> None:
            super().__init__(*arguments, **more)
            self.guard = Guard()
            self.sessions = 0

        def initialize_logging(self) -> None:
            """Errors only; the library's own logging would print what was typed when something breaks."""
            logging.basicConfig(level="ERROR", format="%(message)s")

        async def on_startup(self, app: web.Application) -> None:
            """Say where the page is."""
            address = f"http://{ADDRESS}:{self.port}/?key={self.guard.key}"
            print(f"Open this address once, in a browser on this machine: {address}\nCtrl+C ends it.", flush=True)

        async def _make_app(self) -> web.Application:
            app = web.Application(middlewares=[self._check])
            app.add_routes([
                web.get("/", self._page), web.get("/page.css", self._style), web.get("/ws", self.handle_websocket),
                web.static("/static", self.statics_path),
            ])  # fmt: skip
            app.on_startup.append(self.on_startup)
            return app

        @web.middleware
        async def _check(self, request: web.Request, handler: Any) -> web.StreamResponse:
            """Our own page and our own browser only; the key comes in once and leaves the address bar at once."""
            host = request.headers.get("Host", "")
            if not own_page(host, request.headers.get("Origin"), self.port):
                return self._refused("Only this machine's own page may open this.")
            key = request.query.get("key", "")
            if request.path == "/" and key and self.guard.opens(key):
                answer: web.StreamResponse = web.Response(status=303, headers={"Location": "/", **headers(host)})
                answer.set_cookie(COOKIE, self.guard.cookie, httponly=True, samesite="Strict", path="/")
                return answer
            if not self.guard.knows(request.cookies.get(COOKIE, "")):
                return self._refused("Open the address that was printed; its key opens once, in one browser.")
            answer = await handler(request)
            if not answer.prepared:
                answer.headers.update(headers(host))
            return answer

        @staticmethod
        def _refused(words: str) -> web.Response:
            return web.Response(status=403, text=words, headers=headers("none"))

        async def _page(self, request: web.Request) -> web.Response:
            return web.Response(text=PAGE.format(host=request.headers["Host"]), content_type="text/html")

        async def _style(self, request: web.Request) -> web.Response:
            return web.Response(text=STYLE, content_type="text/css")

        async def handle_websocket(self, request: web.Request) -> web.StreamResponse:
            """One window: a program of its own, which ends with it."""
            size = size_of(request.query.get("width", "80"), request.query.get("height", "24"))
            if size is None:
                return web.Response(status=400, text="No window has this size.")
            if self.sessions >= MOST_SESSIONS:
                return web.Response(status=503, text=f"{MOST_SESSIONS} windows are open; close one first.")
            self.sessions += 1
            socket = web.WebSocketResponse(heartbeat=15, max_msg_size=LONGEST_MESSAGE)

            async def closed() -> None:
                await socket.close()

            service = AppService(
                self.command, write_bytes=socket.send_bytes, write_str=socket.send_str, close=closed,
                download_manager=self.download_manager,
            )  # fmt: skip
            try:
                await socket.prepare(request)
                await service.start(*size)
                async for message in socket:
                    if message.type is WSMsgType.TEXT:
                        await _pass_on(message.data, socket, service)
            finally:
                self.sessions -= 1
                await service.stop()
            return socket

    return GuardedServer


async def _pass_on(text: str, socket: web.WebSocketResponse, service: AppService) -> None:
    """Hand a message of the page to the program; what is none is passed over."""
    try:
        kind, *rest = json.loads(text)
    except (ValueError, TypeError):
        return
    told = rest[0] if rest else None
    if kind == "stdin" and isinstance(told, str):
        await service.send_bytes(told.encode("utf-8", "replace"))
    elif kind == "resize" and isinstance(told, dict):
        size = size_of(told.get("width"), told.get("height"))
        if size is not None:
            await service.set_terminal_size(*size)
    elif kind == "ping":
        await socket.send_json(["pong", told])
    elif kind == "blur":
        await service.blur()
    elif kind == "focus":
        await service.focus()
