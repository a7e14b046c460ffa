"""One cause in plain paragraphs: reasons for and against, and what it predicts beside what was read. Pure."""

from __future__ import annotations

from diag.casework.replay import Standing
from diag.inference import explain
from diag.inference.expected_reading import Spread
from diag.inference.titles import title_of
from diag.presentation.figures import chance_words, percent
from diag.presentation.wording import EXITS, Words, entry_words
from diag.rulebook.typed import shown_as_read
from diag.safety.steps import find_step
from diag.support.text import one_line
from diag.ui.plain.words import LEAST_CHANCE


def cause_lines(cause_id: str, now: Standing) -> list[str]:
    """One cause: what it is, the reasons for and against, what it predicts beside what was read, what cures it."""
    book = now.book
    chance = dict(now.belief.ranked()).get(cause_id, 0.0)
    if cause_id in EXITS:
        return [f"{EXITS[cause_id][0]}: {percent(chance)}.", EXITS[cause_id][1]]
    cause = book.causes[cause_id]
    lines = [f"{one_line(cause.title)}: {percent(chance)}, {chance_words(chance)}.", one_line(cause.in_words, 2000)]
    lines += _reasons(cause_id, now)
    lines += _predictions(cause_id, now)
    if cause.mistaken_for:
        names = ", ".join(title_of(other, book) for other in cause.mistaken_for)
        lines.append(f"Easily taken for: {names}. {one_line(cause.tell_apart, 600)}".rstrip())
    if cause.confirmed_by:
        titles = [one_line(step.title) for name in cause.confirmed_by if (step := find_step(book, name)) is not None]
        lines.append(f"Confirmed by: {'; '.join(titles)}.")
    remedies = [one_line(book.remedies[name].title) for name in cause.remedies if name in book.remedies]
    if remedies:
        lines.append(f"Cured by: {'; or: '.join(remedies)}.")
    if cause.source:
        lines.append(f"From: {one_line(cause.source, 400)}")
    return lines


def _reasons(cause_id: str, now: Standing) -> list[str]:
    words = Words(now.book, now.case.unit_pressure)
    entries = {entry.number: entry_words(entry, words)[1] for entry in now.case.effective()}
    found = [(w.log10.get(cause_id, 0.0), w.entry) for w in explain.weights(now.model, now.evidence)]
    said = sorted((pair for pair in found if abs(pair[0]) >= 0.05), key=lambda pair: (-abs(pair[0]), pair[1]))
    lines = []
    for value, entry in said[:8]:
        side = "For it" if value > 0 else "Against it"
        lines.append(f"{side}, {_times(value)}: {entries.get(entry, '')} (entry {entry})")
    return lines or ["Nothing told so far speaks for or against it."]


def _times(log10: float) -> str:
    factor = 10.0 ** abs(log10)
    return f"{factor:.1f} times" if factor < 10 else f"{min(factor, 9999):.0f} times"


def _predictions(cause_id: str, now: Standing) -> list[str]:
    """Predicted against read, for causes that the physics can see."""
    if not now.book.causes[cause_id].is_physical or not now.evidence.readings:
        return []
    return [_view_line(view, now, {"with this cause": cause_id}) for view in _views(now, [cause_id])]


def reading_lines(now: Standing, most: int = 2) -> list[str]:
    """Every value read, beside what a sound car and the leading causes that the physics sees would show."""
    ranked = [c for c, p in now.belief.ranked() if p >= LEAST_CHANCE and c in now.book.causes]
    leading = [c for c in ranked if now.book.causes[c].is_physical][:most]
    named = {f"with {title_of(c, now.book).lower()}": c for c in leading}
    return [_view_line(view, now, named) for view in _views(now, leading)] or ["Nothing has been read yet."]


def _views(now: Standing, causes: list[str]) -> list[explain.ReadingView]:
    return explain.reading_views(now.model, now.evidence, causes) if now.model.physics is not None else []


def _view_line(view: explain.ReadingView, now: Standing, named: dict[str, str]) -> str:
    kind = now.book.readings[view.reading]
    unit = now.case.unit_pressure if kind.quantity == "pressure" else None

    def span(spread: Spread) -> str:
        return f"{shown_as_read(spread.p05, kind, unit)} to {shown_as_read(spread.p95, kind, unit)}"

    parts = [f"{one_line(kind.title)}, {one_line(now.book.points[view.point].title)}: read "
             f"{shown_as_read(view.value, kind, unit)}", f"with nothing wrong {span(view.healthy)}"]  # fmt: skip
    return "; ".join([*parts, *(f"{words} {span(view.causes[cause])}" for words, cause in named.items())]) + "."
