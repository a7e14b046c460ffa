"""What is worked out from a rule book once, kept with that book: its owner, its bound and its end are the book's."""

from __future__ import annotations

from collections.abc import Callable
from typing import TypeVar

from diag.rulebook.model import RuleBook

Made = TypeVar("Made")


def derived(book: RuleBook, make: Callable[[RuleBook], Made], stale: Callable[[Made], bool] | None = None) -> Made:
    """``make(book)``, kept with the book under the function's own name.

    A changed copy of a book (``dataclasses.replace``) keeps nothing of the old one's.

    Args:
        make: a pure function of the book, at the top of a module.
        stale: says of a kept result that it should be made anew, for one that grows while it is used.
    """
    name = f"{make.__module__}.{make.__qualname__}"
    if name not in book.kept or (stale is not None and stale(book.kept[name])):  # type: ignore[arg-type]
        book.kept[name] = make(book)
    return book.kept[name]  # type: ignore[return-value]
