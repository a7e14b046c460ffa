"""The page that shows the screens in a browser, and the guard before it. Nothing here needs the optional package."""

from __future__ import annotations

import hmac
import secrets
from dataclasses import dataclass, field

ADDRESS = "127.0.0.1"
COOKIE = "diag"
MOST_SESSIONS = 4  # each is a program of its own, of some 250 MB
COLUMNS, LINES = (20, 400), (5, 200)
LONGEST_MESSAGE = 64_000  # bytes typed or pasted at a time

PAGE = """<!DOCTYPE html>
<html lang="en"><head><meta charset="utf-8"><title>diag</title>
<link rel="stylesheet" href="/static/css/xterm.css"><link rel="stylesheet" href="/page.css">
<script src="/static/js/textual.js"></script></head>
<body><p class="ended">This session has ended; every message about it stands in the terminal where it was started.
<a href="/">Begin again</a></p>
<div id="terminal" class="textual-terminal" data-session-websocket-url="ws://{host}/ws" data-font-size="16"></div>
<button type="button" id="start" hidden></button></body></html>
"""

STYLE = """body{background:#1b1d1c;color:#e8e4da;font:16px monospace;margin:0}
.ended{display:none;padding:1rem}body.-closed .ended{display:block}a{color:#f0c36a}
"""


def headers(host: str) -> dict[str, str]:
    """What every answer carries: nothing from elsewhere, shown in no other page, kept in no cache (W3C CSP level 3)."""
    policy = (
        "default-src 'none'; script-src 'self'; style-src 'self' 'unsafe-inline'; font-src 'self'; "
        "img-src 'self' data:; "
        f"connect-src 'self' ws://{host}; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
    )
    return {
        "Content-Security-Policy": policy,
        "X-Content-Type-Options": "nosniff",
        "Referrer-Policy": "no-referrer",
        "Cache-Control": "no-store",
    }


def own_page(host: str, origin: str | None, port: int) -> bool:
    """Whether a request comes from our own page: its Host and, when there is one, its Origin name this address."""
    names = {f"{name}:{port}" for name in (ADDRESS, "localhost")}
    return host in names and (origin is None or origin in {f"http://{name}" for name in names})


def size_of(width: object, height: object) -> tuple[int, int] | None:
    """Columns and lines of a window as told by a page; None for what no window has."""
    try:
        columns, lines = int(str(width)), int(str(height))
    except ValueError:
        return None
    fits = COLUMNS[0] <= columns <= COLUMNS[1] and LINES[0] <= lines <= LINES[1]
    return (columns, lines) if fits else None


@dataclass
class Guard:
    """Who may come in: whoever brings the key from the address once, and then the browser that got the cookie for it.

    Other people of this machine can reach the port too, but cannot see the key, which is printed for one person.
    """

    key: str = field(default_factory=lambda: secrets.token_urlsafe(24))
    cookie: str = field(default_factory=lambda: secrets.token_urlsafe(24))
    used: bool = False

    def opens(self, key: str) -> bool:
        """Take the key; it opens once."""
        if self.used or not hmac.compare_digest(key.encode(), self.key.encode()):
            return False
        self.used = True
        return True

    def knows(self, cookie: str) -> bool:
        """Whether this is the browser that came in with the key."""
        return self.used and hmac.compare_digest(cookie.encode(), self.cookie.encode())
