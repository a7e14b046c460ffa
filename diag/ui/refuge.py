"""Folders that may take a job when its own does not and nobody can be asked any more."""

from __future__ import annotations

import os
import tempfile
from collections.abc import Iterator
from pathlib import Path


def places() -> Iterator[Path]:
    """The usual folder of jobs, one in the home folder, and a private one among the temporary files, in this order."""
    from diag.casework.store import default_folder  # at start-up nothing waits for it

    home = Path.home()
    yield default_folder(os.environ, home)
    yield home / "diag-rescued-jobs"
    try:
        yield Path(tempfile.mkdtemp(prefix="diag-rescued-jobs-"))
    except OSError:
        return
