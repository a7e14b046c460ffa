"""Causes with their reasons, as rows. Pure: weights and predictions come in worked out."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from diag.casework.replay import Standing
from diag.inference import explain
from diag.inference.explain import EntryWeight, ReadingView, Running
from diag.inference.posterior import NOT_IN_BOOK, NOTHING_WRONG
from diag.inference.titles import title_of
from diag.presentation.wording import EXITS, Words, entry_words
from diag.rulebook.findings import ReadingKind
from diag.rulebook.model import RuleBook
from diag.rulebook.typed import shown_as_read
from diag.ui.tui.board import Board
from diag.ui.tui.card import Part, Row, row
from diag.ui.tui.glyphs import Glyphs
from diag.ui.tui.wording import chance

KIND_WORDS = {
    "damage": "damage", "sizing": "wrong size for this car", "setting": "wrong setting",
    "instrument": "gauge or sensor", "outside": "not the fuel system", "exit": "nothing wrong",
}  # fmt: skip
_STRENGTH = ((1.0, "strongly"), (0.3, "clearly"), (0.1, "a little"))
_BLOCK = 0.25  # one block of the bar for every quarter of a power of ten
MOST_BLOCKS = 8


@dataclass(frozen=True)
class Workings:
    """What takes longer to find out: weights of evidence, predictions beside readings, course, worst fit."""

    weights: tuple[EntryWeight, ...]
    views: tuple[ReadingView, ...]
    course: tuple[Running, ...]
    surprise: str


def workings(standing: Standing, causes: Sequence[str]) -> Workings:
    """Find it out; in a thread."""
    model, evidence = standing.model, standing.evidence
    known = [name for name in causes if name in standing.book.causes]
    entry, surprise = standing.misfit.entry, standing.misfit.surprise
    words = ""
    if entry is not None and surprise >= 1.0:
        words = f"Entry {entry} fits badly with all the others; it is worth repeating."
    return Workings(
        tuple(explain.weights(model, evidence)),
        tuple(explain.reading_views(model, evidence, known)),
        tuple(explain.running(model, evidence)),
        words,
    )


def list_line(name: str, p: float, board: Board, glyphs: Glyphs, at: int) -> str:
    """One cause of the list, as plain text for a list line."""
    before = board.before.get(name, p)
    arrow = glyphs.up if p - before >= 0.01 else glyphs.down if before - p >= 0.01 else " "
    number = "<1 %" if p < 0.005 else ">99 %" if p > 0.995 else f"{100 * p:.0f} %"
    return f"{at:>2}. {number:>5} {glyphs.bar(p, 10)} {arrow} {title_of(name, board.standing.book)}"


def cause_rows(name: str, book: RuleBook) -> list[Row]:
    """What a cause is, how it is told from others, and what cures it."""
    if name not in book.causes:
        title, words = EXITS.get(name, (name, ""))
        return [row("CAUSE", title, "strong"), row("", words)]
    cause = book.causes[name]
    rows = [
        row("CAUSE", [Part(cause.title, "strong"), Part(f"   {book.areas.get(cause.area, cause.area)}; "
                                                        f"{KIND_WORDS[cause.kind]}", "quiet")]),
        row("", cause.in_words),
    ]  # fmt: skip
    if cause.mistaken_for:
        others = ", ".join(title_of(other, book) for other in cause.mistaken_for)
        rows.append(row("APART", f"Easily mistaken for: {others}. {cause.tell_apart}"))
    if cause.confirmed_by:
        rows.append(row("PROOF", "; ".join(book.checks[c].title for c in cause.confirmed_by if c in book.checks)))
    if cause.remedies:
        rows.append(row("CURE", "; ".join(book.remedies[r].title for r in cause.remedies if r in book.remedies)))
    return rows


def reason_rows(name: str, board: Board, found: Workings | None, unit: str, glyphs: Glyphs) -> list[Row]:
    """Reasons for and against one cause, its trend, and what it would have shown beside what was read."""
    if found is None:
        return [row("WHY", "weighing every answer by leaving it out ...", "quiet")]
    rows = [row("CHANCE", chance(dict(board.ranked).get(name, 0.0)), "strong")]
    rows += _trend_rows(name, found, glyphs)
    rows += _weight_rows(name, board.standing, found, unit, glyphs)
    rows += _view_rows(name, board.standing, found, unit)
    if found.surprise:
        rows.append(Row("LOOK", (Part(found.surprise, "care"),), "care"))
    return rows


def _trend_rows(name: str, found: Workings, glyphs: Glyphs) -> list[Row]:
    steps = [(step.entry, dict(step.ranked).get(name, 0.0)) for step in found.course]
    if len(steps) < 2:
        return []
    shown = steps[-8:]
    words = f" {glyphs.arrow} ".join(f"{100 * p:.0f} %".replace(" ", "\xa0") for _, p in shown)
    return [row("TREND", f"{words}   (entries {shown[0][0]} to {shown[-1][0]})")]


def _weight_rows(name: str, standing: Standing, found: Workings, unit: str, glyphs: Glyphs) -> list[Row]:
    words = Words(standing.book, unit)
    entries = {e.number: e for e in standing.case.effective()}
    told = [(w.log10.get(name, 0.0), w.entry) for w in found.weights if w.entry in entries]
    rows: list[Row] = []
    for label, sign in (("FOR", 1.0), ("AGAINST", -1.0)):
        picked = sorted((item for item in told if sign * item[0] >= 0.02), key=lambda item: (-abs(item[0]), item[1]))
        for at, (value, entry) in enumerate(picked[:6]):
            said = entry_words(entries[entry], words)[1]
            rows.append(row(label if at == 0 else "", f"{_weight_bar(value, glyphs)} {said} ({_weight_words(value)})",
                            hang=MOST_BLOCKS + 1))  # fmt: skip
        if not picked:
            rows.append(row(label, "nothing told so far", "quiet"))
    return rows


def _weight_bar(value: float, glyphs: Glyphs) -> str:
    blocks = min(MOST_BLOCKS, max(1, round(abs(value) / _BLOCK)))
    return (glyphs.full * blocks).ljust(MOST_BLOCKS, "\xa0")


def _weight_words(value: float) -> str:
    strength = next((words for limit, words in _STRENGTH if abs(value) >= limit), "hardly")
    times = 10.0 ** abs(value)
    factor = f"{times:.0f}" if times >= 10 else f"{times:.1f}"
    return f"{strength}; odds {'times' if value > 0 else 'divided by'} {factor}"


def _view_rows(name: str, standing: Standing, found: Workings, unit: str) -> list[Row]:
    rows: list[Row] = []
    for view in found.views:
        kind = standing.book.readings[view.reading]
        shown = unit if kind.quantity == "pressure" else None
        spread = view.healthy if name in (NOTHING_WRONG, NOT_IN_BOOK) else view.causes.get(name)
        if spread is None:
            continue

        def words(value: float, kind: ReadingKind = kind, shown: str | None = shown) -> str:
            return shown_as_read(value, kind, shown)

        inside = spread.p05 <= view.value <= spread.p95
        fits = "fits" if inside else "does not fit"
        text = (
            f"{kind.title}, {standing.book.points[view.point].title}: read {words(view.value)}; this cause would show "
            f"{words(spread.p05)} to {words(spread.p95)}; a healthy car {words(view.healthy.p05)} to "
            f"{words(view.healthy.p95)}. It {fits}."
        )
        rows.append(row("SHOWS" if not rows else "", text))
    return rows
