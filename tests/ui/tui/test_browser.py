"""The browser extra: this machine's own page only."""

from __future__ import annotations

import asyncio
import socket
import subprocess
import sys
import time
from pathlib import Path

import pytest

from diag.support.errors import UserError
from diag.ui.tui.browser import own_page, serve


@pytest.mark.parametrize(
    ("host", "origin", "own"),
    [
        ("127.0.0.1:8037", None, True),
        ("localhost:8037", "http://localhost:8037", True),
        ("127.0.0.1:8037", "http://elsewhere.example", False),
        ("127.0.0.1:8037", "null", False),
        ("elsewhere.example:8037", None, False),
        ("127.0.0.1:8038", None, False),
        ("", None, False),
    ],
)
def test_only_our_own_page_is_answered(host: str, origin: str | None, own: bool) -> None:
    """Another site's Host (a rebound name) or Origin (a page elsewhere) is refused."""
    assert own_page(host, origin, 8037) is own


def test_a_port_that_cannot_be_is_refused() -> None:
    """One line, with what to use instead."""
    with pytest.raises(UserError, match="no port"):
        serve([], 80)


def test_a_foreign_page_gets_nothing_from_the_running_server(tmp_path: Path) -> None:
    """The server on the loopback address: our page comes, the same request with another Origin is forbidden."""
    pytest.importorskip("textual_serve")
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    command = [sys.executable, "-m", "diag", "work", "--cases", str(tmp_path), "--browser", str(port)]
    server = subprocess.Popen(command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    try:
        answer = b""
        end = time.monotonic() + 30
        while not answer and time.monotonic() < end:
            answer = asyncio.run(_ask(port, ""))
        assert answer.startswith(b"HTTP/1.1 200")
        assert asyncio.run(_ask(port, "Origin: http://elsewhere.example\r\n")).startswith(b"HTTP/1.1 403")
    finally:
        server.terminate()
        server.wait(20)


async def _ask(port: int, more: str) -> bytes:
    try:
        reader, writer = await asyncio.open_connection("127.0.0.1", port)
    except OSError:
        await asyncio.sleep(0.2)
        return b""
    writer.write(f"GET / HTTP/1.1\r\nHost: 127.0.0.1:{port}\r\n{more}Connection: close\r\n\r\n".encode())
    answer = await reader.read(64)
    writer.close()
    return answer
