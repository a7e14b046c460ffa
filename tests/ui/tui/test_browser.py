"""The browser extra: one person's own page, nothing from elsewhere, and the screens in a real browser."""

from __future__ import annotations

import asyncio
import base64
import json
import os
import re
import shutil
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from diag.support.errors import UserError
from diag.ui.tui.browser import serve
from diag.ui.tui.browser_page import MOST_SESSIONS, PAGE, Guard, headers, own_page, size_of

pytestmark = pytest.mark.slow

PATIENCE = 60.0
DEMANDED = bool(os.environ.get("DIAG_BROWSER_TEST"))  # set where a browser is to be had: then nothing is skipped
CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser")


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


@pytest.mark.parametrize(
    ("width", "height", "size"),
    [("80", "24", (80, 24)), ("100000", "100000", None), ("-5", "24", None), ("80", "x", None), ("80.5", "24", None),
     ("", "", None), (None, None, None), ("400", "200", (400, 200)), ("401", "24", None), (10**40, 24, None)],
)  # fmt: skip
def test_a_window_has_the_size_of_a_window(width: object, height: object, size: tuple[int, int] | None) -> None:
    """Everything else would make a program draw a picture of gigabytes."""
    assert size_of(width, height) == size


def test_the_key_opens_once_and_the_cookie_afterwards() -> None:
    """A key seen over a shoulder later is worth nothing; a cookie before the key neither."""
    guard = Guard()
    assert not guard.knows(guard.cookie)
    assert not guard.opens("")
    assert not guard.opens(guard.key[:-1])
    assert guard.opens(guard.key)
    assert not guard.opens(guard.key)
    assert guard.knows(guard.cookie)
    assert not guard.knows("")
    assert Guard().key != guard.key


def test_the_page_names_nothing_from_elsewhere() -> None:
    """No address but our own, and a policy that would refuse any other."""
    assert re.findall(r"https?://[^\"' ]+", PAGE) == []
    assert "<style" not in PAGE
    assert re.findall(r"<script(?! src=\"/)", PAGE) == []
    assert headers("127.0.0.1:8037")["Content-Security-Policy"].startswith("default-src 'none'; script-src 'self';")


def test_a_port_that_cannot_be_is_refused() -> None:
    """One line, with what to use instead."""
    with pytest.raises(UserError, match="no port"):
        serve([], 80)


class Running:
    """A server on a free port, with the address it printed."""

    def __init__(self, folder: Path) -> None:
        with socket.socket() as free:
            free.bind(("127.0.0.1", 0))
            self.port = free.getsockname()[1]
        command = [sys.executable, "-m", "diag", "work", "--cases", str(folder), "--browser", str(self.port)]
        self.process = subprocess.Popen(command, stdout=subprocess.PIPE, text=True)
        assert self.process.stdout is not None
        found = re.search(r"http://\S+", self.process.stdout.readline())
        assert found
        self.address = found.group()

    def ask(self, path: str = "/", **more: str) -> tuple[int, dict[str, str], str]:
        """One request: status, headers and body."""
        return asyncio.run(self._ask(path, more))

    async def _ask(self, path: str, more: dict[str, str]) -> tuple[int, dict[str, str], str]:
        for _ in range(100):
            try:
                reader, writer = await asyncio.open_connection("127.0.0.1", self.port)
                break
            except OSError:
                await asyncio.sleep(0.1)
        told = {"Host": f"127.0.0.1:{self.port}", "Connection": "close", **{k.title(): v for k, v in more.items()}}
        lines = "".join(f"{name}: {value}\r\n" for name, value in told.items())
        writer.write(f"GET {path} HTTP/1.1\r\n{lines}\r\n".encode())
        head, _, body = (await reader.read()).decode("utf-8", "replace").partition("\r\n\r\n")
        writer.close()
        first, *rest = head.split("\r\n")
        return int(first.split()[1]), {k: v for k, _, v in (line.partition(": ") for line in rest)}, body

    def enter(self) -> str:
        """Use the key; the cookie."""
        status, told, _ = self.ask(self.address.split(str(self.port))[1])
        assert status == 303
        assert "HttpOnly" in told["Set-Cookie"]
        assert "SameSite=Strict" in told["Set-Cookie"]
        return told["Set-Cookie"].split(";")[0]


@pytest.fixture
def running(tmp_path: Path) -> Iterator[Running]:
    if DEMANDED:
        import textual_serve  # noqa: F401  (demanded here)
    pytest.importorskip("textual_serve", reason="the browser extra is not installed")
    server = Running(tmp_path)
    yield server
    server.process.terminate()
    server.process.wait(20)


def test_nobody_comes_in_without_the_key(running: Running) -> None:
    """Any other user of this machine gets nothing, whatever is asked; the key's own browser gets all, with a CSP."""
    for path in ("/", "/?key=", "/?key=guess", "/ws", "/static/js/textual.js"):
        assert running.ask(path)[0] == 403
    cookie = running.enter()
    assert running.ask(running.address.split(str(running.port))[1])[0] == 403, "the key opened twice"
    for path in ("/", "/page.css", "/static/js/textual.js"):
        status, told, _ = running.ask(path, cookie=cookie)
        assert status == 200
        assert "default-src 'none'" in told["Content-Security-Policy"]
    assert running.ask("/", cookie=cookie, origin="http://elsewhere.example")[0] == 403


def test_windows_are_bounded_in_size_and_number(running: Running) -> None:
    """A size that no window has is refused; so is one window too many; both leave the server working."""
    cookie = running.enter()
    for size in ("width=100000&height=100000", "width=-5&height=24", "width=a&height=b"):
        assert running.ask(f"/ws?{size}", cookie=cookie)[0] == 400

    async def crowd() -> list[int]:
        import aiohttp

        name, _, value = cookie.partition("=")
        async with aiohttp.ClientSession(cookies={name: value}) as session:
            held, codes = [], []
            for _ in range(MOST_SESSIONS + 2):
                try:
                    url = f"http://127.0.0.1:{running.port}/ws?width=80&height=24"
                    held.append(await session.ws_connect(url))
                    codes.append(101)
                except aiohttp.WSServerHandshakeError as refused:
                    codes.append(refused.status)
            for window in held:
                await window.send_str("no message")
                await window.send_json(["resize", {"width": 10**9, "height": -1}])
                await window.close()
            return codes

    assert asyncio.run(crowd()) == [101] * MOST_SESSIONS + [503, 503]
    assert running.ask("/", cookie=cookie)[0] == 200


class Browser:
    """A real Chromium without a window, spoken to in its own debugging protocol."""

    def __init__(self, folder: Path) -> None:
        assert CHROMIUM
        self.process = subprocess.Popen(
            [CHROMIUM, "--headless=new", "--no-sandbox", "--disable-gpu", "--disable-dev-shm-usage", "--no-first-run",
             "--disable-background-networking", "--remote-debugging-port=0", f"--user-data-dir={folder}",
             "about:blank"],
            stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
        )  # fmt: skip
        self.port_file = folder / "DevToolsActivePort"
        self.events: list[dict[str, Any]] = []
        self.count = 0

    async def connect(self, session: Any) -> None:
        """Its only page."""
        end = time.monotonic() + PATIENCE
        while not self.port_file.exists() or not self.port_file.read_text().strip():
            assert time.monotonic() < end, "the browser did not start"
            await asyncio.sleep(0.1)
        port = self.port_file.read_text().split()[0]
        async with session.get(f"http://127.0.0.1:{port}/json") as answer:
            pages = [page for page in await answer.json() if page["type"] == "page"]
        self.socket = await session.ws_connect(pages[0]["webSocketDebuggerUrl"], max_msg_size=0)
        for domain in ("Network", "Log", "Page", "Runtime"):
            await self.call(f"{domain}.enable")

    async def call(self, method: str, **parameters: object) -> dict[str, Any]:
        """One command; events that come meanwhile are kept."""
        self.count += 1
        await self.socket.send_json({"id": self.count, "method": method, "params": parameters})
        while True:
            told = json.loads((await self.socket.receive(PATIENCE)).data)
            if told.get("id") == self.count:
                return dict(told.get("result", {}))
            self.events.append(told)

    def written(self) -> str:
        """What the page's terminal was given to draw."""
        frames = [e["params"]["response"] for e in self.events if e["method"] == "Network.webSocketFrameReceived"]
        drawn = "".join(
            base64.b64decode(f["payloadData"]).decode("utf-8", "replace") for f in frames if f["opcode"] == 2
        )
        return re.sub("\x1b\\[[0-9;?<>=]*[A-Za-z]", "", drawn)

    async def picture(self) -> bytes:
        """What is to be seen, as PNG."""
        return base64.b64decode((await self.call("Page.captureScreenshot"))["data"])

    async def until(self, words: str) -> None:
        """Wait for words on the page."""
        end = time.monotonic() + PATIENCE
        while words not in self.written():
            assert time.monotonic() < end, f"never came: {words!r}; the page was given {self.written()[-500:]!r}"
            await self.call("Runtime.evaluate", expression="1")
            await asyncio.sleep(0.2)

    async def type(self, text: str) -> None:
        """Type as a person would."""
        await self.call("Runtime.evaluate", expression="document.querySelector('textarea').focus()")
        for character in text:
            key = {"\r": "Enter"}.get(character, character)
            more = {"windowsVirtualKeyCode": 13} if character == "\r" else {}
            for kind in ("keyDown", "keyUp"):
                await self.call("Input.dispatchKeyEvent", type=kind, key=key, text=character, **more)


def test_a_job_is_begun_in_a_real_browser_and_nothing_comes_from_elsewhere(running: Running, tmp_path: Path) -> None:
    """The first screen is drawn, keys arrive, the job is in the folder; every request goes to our own address."""
    if CHROMIUM is None:
        assert not DEMANDED, "a browser is demanded here (DIAG_BROWSER_TEST) and there is none"
        pytest.skip("no Chromium on this machine")
    jobs, profile = tmp_path, tmp_path / "profile"
    profile.mkdir()
    browser = Browser(profile)

    async def play() -> None:
        import aiohttp

        async with aiohttp.ClientSession() as session:
            await browser.connect(session)
            blank = await browser.picture()
            await browser.call("Page.navigate", url=running.address)
            await browser.until("new job in the workshop")
            await browser.type("n")
            await browser.until("What is this job called")
            await browser.type("Plover\r")
            await browser.until("that is all")
            assert len(await browser.picture()) > 4 * len(blank), "the page draws nothing"
            await browser.socket.close()

    try:
        asyncio.run(play())
    finally:
        browser.process.terminate()
        browser.process.wait(20)
    asked = [e["params"]["request"]["url"] for e in browser.events if e["method"] == "Network.requestWillBeSent"]
    assert asked
    assert {url.split("/")[2] for url in asked if not url.startswith(("data:", "about:"))} == {
        f"127.0.0.1:{running.port}"
    }
    said = [e["params"]["entry"]["text"] for e in browser.events if e["method"] == "Log.entryAdded"]
    assert [text for text in said if "Content Security Policy" in text] == []
    (case,) = jobs.glob("*.yaml")
    assert "Plover" in case.read_text()
