"""A figure just read beside what a sound car and the leading causes would have shown there."""

from __future__ import annotations

from diag.casework.entries import Believed, ReadingTaken, SignAnswer, StepDone
from diag.casework.replay import Standing
from diag.inference import explain
from diag.inference.expected_reading import Spread
from diag.presentation.wording import EXITS
from diag.rulebook.findings import ReadingKind
from diag.rulebook.typed import shown_as_read
from diag.support.text import one_line

LEAST = 0.05  # chance of a cause from which its band is worth a word: judgement


def last_reading(now: Standing) -> int:
    """The entry of the newest reading when it, or the check it belongs to, is what was told last; else 0."""
    told = [e for e in now.case.effective() if not isinstance(e, StepDone | Believed)]
    for entry in reversed(told):
        if isinstance(entry, ReadingTaken):
            return entry.number
        if not isinstance(entry, SignAnswer) or not entry.check or entry.check != getattr(told[-1], "check", ""):
            break
    return 0


def band_words(now: Standing, entry: int, most: int = 2) -> str:
    """One sentence: the bands (5 to 95 %) of a sound car and of the likeliest causes that the model predicts.

    Empty where no fuel-system model is there or the entry is no plain reading.
    """
    if not entry or now.model.physics is None:
        return ""
    ranked = [c for c, p in now.belief.ranked() if p >= LEAST and c not in EXITS and now.book.causes[c].is_physical]
    view = explain.reading_view(now.model, now.evidence, entry, ranked[:most])
    if view is None:
        return ""
    kind = now.book.readings[view.reading]
    unit = now.case.unit_pressure if kind.quantity == "pressure" else None
    parts = [f"a sound car {_span(view.healthy, kind, unit)}"]
    parts += [f"{one_line(now.book.causes[c].title, 60)} {_span(view.causes[c], kind, unit)}" for c in ranked[:most]]
    return f"Expected there: {'; '.join(parts)}."


def _span(spread: Spread, kind: ReadingKind, unit: str | None) -> str:
    return f"{shown_as_read(spread.p05, kind, unit)} to {shown_as_read(spread.p95, kind, unit)}"
