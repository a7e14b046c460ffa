"""A checked rule book kept between two runs, so that a script that weighs one case need not check it anew.

The copy is JSON in the cache folder, never code. It counts only while it belongs to exactly these texts, read by
exactly this program, and its own digest is right; otherwise the rules are read as always and the copy is made anew. A
folder that cannot be written means no copy and nothing else.
"""

from __future__ import annotations

import contextlib
import hashlib
import json
import os
from collections.abc import Mapping, Sequence
from dataclasses import fields, is_dataclass
from pathlib import Path
from typing import Any

from diag.rulebook import basis, causes, findings, hazards, model, steps
from diag.rulebook.model import RuleBook
from diag.support.disk.files import read_text, write_atomic
from diag.support.errors import Place, StorageError, UserError

MARK = "\x00"  # begins the name of a class; no rule text can hold it
MOST = 50_000_000
_CLASSES: dict[str, Any] = {
    MARK + kind.__name__: kind
    for part in (basis, causes, findings, steps, hazards, model)
    for kind in (*vars(part).values(), Place)
    if isinstance(kind, type) and is_dataclass(kind)
}


def load_quickly(folder: Path, cache: Path | None) -> RuleBook:
    """The book of a folder, from the copy when there is a good one.

    Args:
        folder: where the rule files lie.
        cache: folder of copies; None reads the rules without one.

    Raises:
        RuleBookError, StorageError: as ``load_book``.
    """
    if cache is None:
        return _load(folder)
    where = cache / "diag" / f"rules-{digest_of(os.path.realpath(folder))[:24]}.json"
    key = key_of(folder)
    kept = _kept(where, key) if key else None
    if kept is not None:
        return kept
    book = _load(folder)
    if key:
        with contextlib.suppress(OSError, UserError):
            where.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
            text = json.dumps(to_plain(book), allow_nan=False, separators=(",", ":"))
            write_atomic(where, f"{key}\n{digest_of(text)}\n{text}\n")
    return book


def _load(folder: Path) -> RuleBook:
    # arrays and YAML, for which a good copy has no need
    from diag.rulebook.load import load_book

    return load_book(folder)


def digest_of(text: str) -> str:
    """SHA-256 of a text, in hexadecimal."""
    return hashlib.sha256(text.encode("utf-8", "surrogatepass")).hexdigest()


READERS = ("rulebook", "fuelsystem", "quantities", "support")  # all that loading a book depends on


def key_of(folder: Path, packages: Sequence[str] = READERS) -> str:
    """Names, sizes and contents of the rules, and which program reads them; empty when they cannot be looked at."""
    digest = hashlib.sha256()
    try:
        for path in sorted(folder.rglob("*.yaml")):
            digest.update(
                f"{path.as_posix()}\n".encode("utf-8", "replace") + hashlib.sha256(path.read_bytes()).digest()
            )
        for package in packages:
            for path in sorted((Path(__file__).parent.parent / package).rglob("*.py")):
                state = path.stat()
                digest.update(f"{path} {state.st_size} {state.st_mtime_ns}\n".encode("utf-8", "replace"))
    except OSError:
        return ""
    return digest.hexdigest()


def _kept(where: Path, key: str) -> RuleBook | None:
    """The copy, when it is whole and belongs to this key."""
    try:
        head, digest, text = read_text(where, MOST).split("\n", 2)
        text = text.removesuffix("\n")
        if head != key or digest != digest_of(text):
            return None
        book = from_plain(json.loads(text))
    except (StorageError, UserError, ValueError, TypeError, KeyError, RecursionError):
        return None
    return book if isinstance(book, RuleBook) else None


def to_plain(value: Any) -> Any:
    """Objects as lists that begin with their class, tuples as lists, mappings as objects."""
    if isinstance(value, Mapping):
        return {key: to_plain(part) for key, part in value.items()}
    if isinstance(value, tuple):
        return [to_plain(part) for part in value]
    if is_dataclass(value):
        return [
            MARK + type(value).__name__,
            *(to_plain(getattr(value, field.name)) for field in fields(value) if field.init),
        ]
    if value is None or isinstance(value, str | int | float):
        return value
    raise TypeError(f"{type(value).__name__} has no plain form")


def from_plain(value: Any) -> Any:
    """The way back; raises KeyError or TypeError for what ``to_plain`` never made."""
    if isinstance(value, list):
        if value and isinstance(value[0], str) and value[0][:1] == MARK:
            return _CLASSES[value[0]](*[from_plain(part) if type(part) in (list, dict) else part for part in value[1:]])
        return tuple([from_plain(part) if type(part) in (list, dict) else part for part in value])
    if isinstance(value, dict):
        return {key: from_plain(part) if type(part) in (list, dict) else part for key, part in value.items()}
    return value
