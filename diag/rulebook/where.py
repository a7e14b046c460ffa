"""Where the packaged rules and worked cases lie."""

from __future__ import annotations

import os
from pathlib import Path

from diag.support.errors import StorageError

_PACKAGE = Path(__file__).resolve().parent.parent


def rules_folder() -> Path:
    """The folder with the rule book: DIAG_RULES, the installed package, or the checkout.

    Raises:
        StorageError: none of them holds rules.
    """
    return _find("DIAG_RULES", "_rules", "rules")


def cases_folder() -> Path:
    """The folder with demo and worked cases: DIAG_CASES, the installed package, or the checkout.

    Raises:
        StorageError: none of them is there.
    """
    return _find("DIAG_CASES", "_cases", "cases")


def _find(variable: str, packaged: str, beside: str) -> Path:
    chosen = os.environ.get(variable, "")
    if chosen:
        path = Path(chosen).expanduser()
        if not path.is_dir():
            raise StorageError(f"{variable} names {chosen!r}, which is no folder.", "Set it to a folder, or unset it.")
        return path
    installed = _PACKAGE / packaged
    if installed.is_dir():
        return installed
    # A folder that merely happens to be called "rules" beside the package is not ours: a checkout has a project file.
    checkout = _PACKAGE.parent
    if (checkout / "pyproject.toml").is_file() and (checkout / beside).is_dir():
        return checkout / beside
    raise StorageError(f"The {beside} of this program cannot be found.", f"Install it again, or set {variable}.")
