"""``diag web``: the same screens in a browser on this machine, when the optional extra is installed."""

from __future__ import annotations

import importlib.util
import shlex
import sys
from pathlib import Path

from diag.cli.arguments import Arguments
from diag.cli.output import remark
from diag.trust.errors import ExitCode, UserError

LOOPBACK = "127.0.0.1"
EPILOG = f"""\
The page is served on {LOOPBACK} only, so nobody on the network can reach it; any program or web page on this machine
can, since there is no password. Close it when you are done: control-C. Needs the extra: pip install 'diag[web]'"""


def parser() -> Arguments:
    """The options."""
    found = Arguments("web", "Work jobs in a browser on this machine.", EPILOG)
    found.add_argument("--port", type=int, default=8765, help="port on this machine (default 8765)")
    found.with_folder()
    found.add_argument("--who", default="", help="name or initials written into every entry")
    return found


def command_line(folder: Path | None, who: str) -> str:
    """The command that a browser window starts, quoted for the shell that the server hands it to."""
    words = [sys.executable, "-m", "diag", "work"]
    if folder is not None:
        words += ["--folder", str(folder.resolve())]
    if who:
        words += ["--who", who]
    return shlex.join(words)


def run(arguments: list[str]) -> int:
    """Serve until interrupted."""
    options = parser().parse_args(arguments)
    if not 1024 <= options.port <= 65535:
        raise UserError(f"Port {options.port} cannot be used.", "Give one from 1024 to 65535.", "--port")
    if importlib.util.find_spec("textual_serve") is None:
        raise UserError("The browser extra is not installed.", "Run: pip install 'diag[web]'", "diag web")
    from textual_serve.server import Server

    remark(f"Serving on http://{LOOPBACK}:{options.port} for this machine only; control-C ends it.")
    Server(
        command_line(options.folder, options.who), host=LOOPBACK, port=options.port, title="Fuel system work"
    ).serve()
    return ExitCode.DONE
