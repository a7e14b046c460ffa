"""Where confirmed columns of data logs are kept: one YAML file in this account's data folder."""

from __future__ import annotations

import os
from pathlib import Path

from diag.casework.store import default_folder
from diag.datalog.layout import Layout, layouts_from, layouts_text
from diag.support.disk.failures import storage_error
from diag.support.disk.files import read_text, write_atomic
from diag.support.errors import UserError

NAME = "log-columns.yaml"


def layouts_path() -> Path:
    """Beside the folder of cases."""
    return default_folder(os.environ, Path.home()).parent / NAME


def kept_layouts() -> dict[str, Layout]:
    """The layouts confirmed so far; none when the file cannot be used, since it can be made anew."""
    path = layouts_path()
    if not path.exists():
        return {}
    try:
        return layouts_from(read_text(path), str(path))
    except UserError:
        return {}


def keep_layout(layout: Layout) -> None:
    """Remember a confirmed layout.

    Raises:
        StorageError: it could not be written.
    """
    path = layouts_path()
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise storage_error("Cannot make the folder", path.parent, error) from error
    kept = kept_layouts()
    kept.pop(layout.mark, None)
    write_atomic(path, layouts_text({**kept, layout.mark: layout}))
