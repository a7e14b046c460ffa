"""The store of jobs that a person named: a folder, or a server."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from diag.casework.keeping import JobStore


def store_at(where: str | Path, who: str = "", cache: Path | None = None) -> JobStore:
    """The store at a folder or at the address of a server; nothing is connected or read before it is used.

    Args:
        where: a folder, or ``postgresql://...``.
        who: name written beside every answer and shown to others.
        cache: folder for what can be made anew.

    Raises:
        UserError: the address cannot be used, or what a server needs is not installed.
    """
    from diag.casework.store import CaseStore

    return CaseStore(Path(where).expanduser(), who, cache=cache)
