"""What can be done on a screen right now: one table for keys, key line, menu, help and clicks."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass

from diag.ui.tui.card import Part, Row, key_click, keys, row

Act = Callable[[], object]


@dataclass(frozen=True, slots=True)
class Deed:
    """A key and what it does; ``short`` stands in the key line.

    ``line`` False keeps it out of the key line; it stays in menu and help. ``more`` are further keys.
    """

    key: str
    short: str
    do: Act
    words: str = ""
    line: bool = True
    more: tuple[str, ...] = ()

    @property
    def click(self) -> str:
        """What a click on it carries."""
        return key_click(self.key)


def key_line(deeds: Iterable[Deed]) -> list[Row]:
    """The line of keys at the foot of a screen."""
    return [row("", keys([(d.key, d.short) for d in deeds if d.line], "  "))]


def listed(deeds: Iterable[Deed]) -> list[Row]:
    """Every key with its meaning, one a line."""
    rows = []
    for deed in deeds:
        pressed = ", ".join((deed.key, *deed.more))
        rows.append(Row(pressed[:7], (Part(deed.words or deed.short, "", deed.click),), "key"))
    return rows
