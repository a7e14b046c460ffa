"""The answers given so far, and what a change of one would do, as rows and list lines. Pure."""

from __future__ import annotations

from diag.casework.entries import Believed, CarFact, Case, Entry, Note, ReadingTaken, Replaced, Retracted, SignAnswer
from diag.casework.replay import Comparison
from diag.presentation.changes import besides
from diag.presentation.figures import percent
from diag.presentation.wording import Words, entry_words
from diag.rulebook.model import RuleBook
from diag.support.text import one_line
from diag.ui.tui.card import Part, Row, row
from diag.ui.tui.glyphs import Glyphs

CHANGEABLE = (SignAnswer, ReadingTaken, CarFact, Note)


def listed(case: Case) -> list[Entry]:
    """The entries that count and were told by a person, newest first."""
    return [e for e in reversed(case.effective()) if not isinstance(e, Believed | Retracted | Replaced)]


def entry_line(entry: Entry, words: Words) -> str:
    """One entry as a list line."""
    kind, text = entry_words(entry, words)
    return f"{entry.number:>3}. {entry.at[11:16]} {kind:<11} {one_line(text, 140)}"


def before_after_rows(change: Comparison, glyphs: Glyphs) -> list[Row]:
    """The ranking before and after, cause by cause, and everything else that changes."""
    if change.nothing:
        return [row("CHANGE", "No cause would move by 1 % or more.")]
    rows = [row("CHANGE", "before          after", "quiet")]
    for moved in change.moved[:8]:
        arrow = glyphs.up if moved.after > moved.before else glyphs.down
        parts = [
            Part(f"{percent(moved.before):>10} ".replace(" ", "\xa0")),
            Part(f"{arrow} ", "strong"),
            Part(f"{percent(moved.after):>10} ".replace(" ", "\xa0"), "strong"),
            Part(f" {moved.title}"),
        ]
        rows.append(row("", parts, hang=4))
    rows += [row("", sentence) for sentence in besides(change)]
    return rows


def hint_for(entry: Entry, book: RuleBook) -> str:
    """What may be typed instead of an entry's text."""
    if isinstance(entry, SignAnswer) and entry.sign in book.signs:
        sign = book.signs[entry.sign]
        return ", ".join((*(a.words for a in sign.choices), "?")) if sign.choices else "yes, no, or ? for not known"
    if isinstance(entry, ReadingTaken):
        return "the value with any unit"
    return "the new text"


def old_text(entry: Entry) -> str:
    """What was told before, to start from."""
    if isinstance(entry, SignAnswer):
        return {"present": "yes", "absent": "no", "not known": "?"}.get(entry.answer, entry.answer)
    return entry.text if isinstance(entry, ReadingTaken | CarFact | Note) else ""
