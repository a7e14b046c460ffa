"""The store of jobs that a person named: a folder, or a server."""

from __future__ import annotations

import os
from pathlib import Path
from typing import TYPE_CHECKING

from diag.desk.address import is_address
from diag.desk.link import driver

if TYPE_CHECKING:
    from diag.casework.keeping import JobStore


def store_at(where: str | Path, who: str = "", cache: Path | None = None, state: Path | None = None) -> JobStore:
    """The store at a folder or at the address of a server; nothing is connected or read before it is used.

    Args:
        where: a folder, or ``postgresql://...``.
        who: name written beside every answer and shown to others.
        cache: folder for what can be made anew.
        state: folder for what must outlive a program, such as answers that a server does not have yet; None for the
            usual one of this account.

    Raises:
        UserError: the address cannot be used, or what a server needs is not installed.
    """
    if is_address(str(where)):
        # only the kind of store that was named
        from diag.desk.outbox import default_state
        from diag.desk.server import ServerStore

        driver()
        return ServerStore(str(where), who, state or default_state(os.environ, Path.home()))
    # only the kind of store that was named
    from diag.casework.store import CaseStore

    return CaseStore(Path(where).expanduser(), who, cache=cache)
