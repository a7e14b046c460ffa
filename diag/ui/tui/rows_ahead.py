"""What follows the deed at hand, as rows: deeds that may be done in one go, and what the caller said last. Pure."""

from __future__ import annotations

from collections.abc import Collection, Sequence

from diag.casework.agenda import Task
from diag.rulebook.model import RuleBook
from diag.safety.steps import find_step
from diag.ui.tui.card import Part, Row, key_click, keys, row
from diag.ui.tui.deeds import Deed
from diag.ui.tui.rows_stops import care_row
from diag.ui.tui.rows_work import how_rows


def ahead_rows(following: Sequence[Task], book: RuleBook, known: Collection[str] = ()) -> list[Row]:
    """The deeds after this one, each with its steps and cautions, and the key for all of them."""
    rows: list[Row] = []
    for task in following:
        step = find_step(book, task.step)
        if step is not None:
            rows += [row("THEN", step.title, "strong"), *how_rows(step, aloud=False), *care_row(step, book, known)]
    return rows


def done_keys(following: Sequence[Task]) -> tuple[Part, ...]:
    """The key that reports this deed and those that follow it."""
    return keys([("D", f"all {len(following) + 1} done, in this order")]) if following else ()


def said_rows(words: str) -> list[Row]:
    """What the caller said last, beside what is read to them."""
    return [row("SAID", f'"{words}"', "quiet")] if words else []


def behind_esc(rows: Sequence[Row]) -> list[Row]:
    """The same rows while a line takes the letters: a key that is a letter is shown with the Esc it needs first."""
    return [Row(r.label, tuple(_behind(part) for part in r.parts), r.label_look, r.hang, r.fill, r.clip) for r in rows]


def foot_rows(deeds: Sequence[Deed], typing: bool) -> list[Row]:
    """The line of keys; while a line takes the letters, first those that work at once, then those that need Esc."""
    shown = [(deed.key, deed.short) for deed in deeds if deed.line]
    letters = [pair for pair in shown if len(pair[0]) == 1] if typing else []
    if not letters:
        return [row("", keys(shown, "  "))]
    at_once = [("enter", "take it"), *(pair for pair in shown if pair not in letters)]
    return [row("", [*keys(at_once, "  "), Part("  after Esc: ", "quiet"), *keys(letters, "  ")])]


def _behind(part: Part) -> Part:
    pressed = part.text[1:-1]
    is_key = part.look == "key" and part.action == key_click(pressed) and len(pressed) == 1
    return Part(f"[Esc\xa0{pressed}]", part.look, part.action) if is_key else part
