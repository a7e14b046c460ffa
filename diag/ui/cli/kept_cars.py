"""What was worked out of imagined cars, carried from one run to the next beside the cached book.

One file a car, named by a digest of rules, program and all that is known of the car, so that a changed rule or fact
looks for another file. The file's parts hold digests of their own. A file that is damaged, foreign or not there, and a
folder that cannot be read or written, cost time and nothing else: what is worked out instead is the same.
"""

from __future__ import annotations

import contextlib
import os
import platform
from collections.abc import Callable
from pathlib import Path

from diag.rulebook.cached import digest_of, key_of, load_quickly
from diag.rulebook.model import RuleBook
from diag.support.disk.files import Piecewise, sweep_leftovers, write_bytes
from diag.support.errors import StorageError, UserError
from diag.ui.cli.kept_numbers import PACKAGES, keep_numbers, take_numbers

WORTH = 20_000  # cars at a condition that must have been solved; fewer are solved again as quickly as read
CARS = 4  # of one run, the newest
MOST_BYTES = 160_000_000  # of all cars; those not used for the longest time go first


def take_cars(book: RuleBook, folder: Path, cache: Path | None) -> None:
    """Let a book find what earlier runs worked out of its cars."""
    from diag.inference.readings.carried import CarriedCar, carrier_of  # arrays: only for who weighs, for start-up time

    key = _key(folder) if cache is not None else ""
    if cache is None or not key:
        return
    where = _folder(cache)

    def fetch(name: str) -> CarriedCar | None:
        with contextlib.suppress(StorageError, ValueError, OSError):
            path = where / _file(key, name)
            found = CarriedCar(path.stem, Piecewise(path).read)
            with contextlib.suppress(OSError):
                os.utime(path)  # used just now, for who makes room; a folder that is only read stays as it is
            return found
        return None

    carrier_of(book).fetch = fetch


def keep_cars(book: RuleBook, folder: Path, cache: Path | None) -> None:
    """Leave for the next run what this one worked out of its last cars."""
    from diag.inference.readings.carried import carrier_of  # as above

    worth = [(name, car) for name, car in carrier_of(book).worked.items() if car.solved >= WORTH]
    key = _key(folder) if cache is not None and worth else ""
    if cache is None or not key:
        return
    where = _folder(cache)
    with contextlib.suppress(OSError, UserError):
        where.mkdir(parents=True, exist_ok=True, mode=0o700)
        for name, car in worth[-CARS:]:
            path = where / _file(key, name)
            write_bytes(path, car.left(path.stem), lasting=False)
        _make_room(where)


def take_work(book: RuleBook, folder: Path, cache: Path | None) -> None:
    """All that earlier runs worked out, of the book alone and of its cars."""
    take_numbers(book, folder, cache)
    take_cars(book, folder, cache)


def keep_work(book: RuleBook, folder: Path, cache: Path | None) -> None:
    """All that this run worked out."""
    keep_numbers(book, folder, cache)
    keep_cars(book, folder, cache)


def opened(folder: Path, cache: Path | None) -> tuple[RuleBook, Callable[[], None]]:
    """The book of a folder with all that earlier runs worked out, and what leaves it for the next one."""
    book = load_quickly(folder, cache)
    take_work(book, folder, cache)
    return book, lambda: keep_work(book, folder, cache)


def _make_room(where: Path) -> None:
    sweep_leftovers(where)
    files = sorted(((path.stat(), path) for path in where.glob("*.cars")), key=lambda f: -f[0].st_mtime_ns)
    taken = 0
    for state, path in files:
        taken += state.st_size
        if taken > MOST_BYTES:
            path.unlink(missing_ok=True)


def _folder(cache: Path) -> Path:
    return cache / "diag" / "cars"


def _key(folder: Path) -> str:
    """Rules and program, with all that the last digit may hang on; empty when they cannot be looked at."""
    import numpy as np  # as above

    found = key_of(folder, PACKAGES)
    return f"{found} {np.__version__} {platform.machine()}" if found else ""


def _file(key: str, name: str) -> str:
    return f"{digest_of(f'{key} {name}')[:32]}.cars"
