"""Numbers of a rule book carried from one run to the next, beside its checked copy in the cache folder.

They count only while rules and program are exactly those that made them and the file's own digest is right; otherwise
they are worked out again. A folder that cannot be written means no file and nothing else.
"""

from __future__ import annotations

import contextlib
import json
from pathlib import Path

from diag.rulebook.cached import digest_of, key_of
from diag.rulebook.model import RuleBook
from diag.support.disk.files import read_text, write_atomic
from diag.support.errors import StorageError, UserError

MOST = 10_000_000
PACKAGES = ("rulebook", "fuelsystem", "quantities", "support", "inference")  # all that the numbers depend on


def take_numbers(book: RuleBook, folder: Path, cache: Path | None) -> None:
    """Give a book what an earlier run worked out of it; nothing when there is none or it does not fit."""
    from diag.inference.of_book import numbers_of  # arrays: only for who weighs something, for start-up time

    where = _where(folder, cache)
    if where is None:
        return
    with contextlib.suppress(StorageError, UserError, ValueError, TypeError, KeyError, RecursionError):
        head, digest, text = read_text(where, MOST).split("\n", 2)
        if head == key_of(folder, PACKAGES) and digest == digest_of(text.removesuffix("\n")):
            numbers_of(book).take(json.loads(text), len(book.causes))


def keep_numbers(book: RuleBook, folder: Path, cache: Path | None) -> None:
    """Leave for the next run what this one worked out, if anything."""
    from diag.inference.of_book import numbers_of  # as above

    where, numbers = _where(folder, cache), numbers_of(book)
    if where is None or not numbers.grown:
        return
    with contextlib.suppress(OSError, UserError):
        where.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
        text = json.dumps(numbers.as_plain(), allow_nan=False, separators=(",", ":"))
        write_atomic(where, f"{key_of(folder, PACKAGES)}\n{digest_of(text)}\n{text}\n")
        numbers.grown = False


def _where(folder: Path, cache: Path | None) -> Path | None:
    return None if cache is None else cache / "diag" / f"numbers-{digest_of(str(folder.resolve()))[:24]}.json"
