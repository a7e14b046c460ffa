"""Results that may be wanted again, up to so many bytes: what was not used for the longest time goes first.

A result on a shelf can always be worked out anew, so that nothing but time depends on what happens to stand there.
"""

from __future__ import annotations

import weakref
from collections import OrderedDict
from collections.abc import Callable, Hashable
from itertools import count
from threading import RLock
from typing import Any, TypeVar

from diag.support.memory import hand_back

Made = TypeVar("Made")


class Shelf:
    """Everything that is kept, with its size, in the order of last use. May be asked from several threads."""

    def __init__(self, most: int) -> None:
        """A shelf for at most so many bytes."""
        self.most = most
        self.bytes = 0
        self._dropped = 0  # since free memory was last given back to the system
        self._kept: OrderedDict[tuple[int, Hashable], tuple[Any, int]] = OrderedDict()
        self._numbers = count()
        self._left: list[int] = []  # owners that are gone and whose results are still here
        self._lock = RLock()

    def place(self) -> Place:
        """A place for one owner's results; they go when the owner lets go of it."""
        number = next(self._numbers)
        place = Place(self, number)
        # An owner may end at any moment, in the middle of a change to this shelf: only a note is made then.
        weakref.finalize(place, self._left.append, number).atexit = False
        return place

    def find(self, key: tuple[int, Hashable]) -> Any:
        """What is kept under this key, None when nothing is (any more)."""
        with self._lock:
            found = self._kept.get(key)
            if found is None:
                return None
            self._kept.move_to_end(key)
            return found[0]

    def keep(self, key: tuple[int, Hashable], result: Any, size: int) -> None:
        """Keep a result of so many bytes, or say how large one has grown; the oldest make room."""
        with self._lock:
            self._clear()
            before = self._kept.pop(key, (None, 0))[1]
            self._kept[key] = result, size
            self.bytes += size - before
            while self.bytes > self.most and len(self._kept) > 1:
                self._drop(self._kept.popitem(last=False)[1][1])
            if self._dropped > self.most // 4:
                self._dropped = 0
                hand_back()

    def _drop(self, size: int) -> None:
        self.bytes -= size
        self._dropped += size

    def _clear(self) -> None:
        gone = set()
        while self._left:
            gone.add(self._left.pop())
        if gone:
            for key in [key for key in self._kept if key[0] in gone]:
                self._drop(self._kept.pop(key)[1])


class Place:
    """One owner's part of a shelf."""

    def __init__(self, shelf: Shelf, number: int) -> None:
        self._shelf = shelf
        self._number = number

    def find(self, key: Hashable) -> Any:
        """What this owner kept under the key; None when it is gone."""
        return self._shelf.find((self._number, key))

    def keep(self, key: Hashable, result: Any, size: int) -> None:
        """Keep a result, or say how large one has grown."""
        self._shelf.keep((self._number, key), result, size)

    def made(self, key: Hashable, make: Callable[[], Made], size: Callable[[Made], int]) -> Made:
        """What is kept under the key, or what ``make`` gives, which is kept then; never None."""
        found: Made | None = self.find(key)
        if found is None:
            found = make()
            self.keep(key, found, size(found))
        return found
