"""What can be done on a screen right now: one table for keys, key line, menu, help and clicks."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from diag.ui.tui.card import Part, Row, keys, row


@dataclass(frozen=True, slots=True)
class Deed:
    """A key and what it does. ``name`` is the screen's method ``do_NAME``; ``short`` stands in the key line.

    ``line`` False keeps it out of the key line; it stays in menu and help. ``more`` are further keys.
    """

    key: str
    short: str
    name: str
    words: str = ""
    line: bool = True
    more: tuple[str, ...] = ()
    argument: str = ""

    @property
    def action(self) -> str:
        """What a click carries."""
        return f"{self.name}:{self.argument}" if self.argument else self.name


def key_line(deeds: Iterable[Deed]) -> list[Row]:
    """The line of keys at the foot of a screen."""
    shown = [(d.key, d.short, d.action) for d in deeds if d.line]
    return [row("", keys(shown, "  "))]


def listed(deeds: Iterable[Deed]) -> list[Row]:
    """Every key with its meaning, one a line."""
    rows = []
    for deed in deeds:
        pressed = ", ".join((deed.key, *deed.more))
        rows.append(Row(pressed[:7], (Part(deed.words or deed.short, "", deed.action),), "key"))
    return rows
